import type { CautionRef } from '../domain/cautions.js';
import { expectedUnitIn } from '../domain/expected-unit.js';
import type { Finding, MachineFacts } from '../domain/facts.js';
import { leftOut, tookNone } from '../domain/greased.js';
import type { Specification } from '../domain/specification.js';
import { type Fluid, type IfOut, type Measurement, pointsFinding, type Step, type Task } from '../domain/task.js';
import { sayAmountIn, sayLimitsIn } from '../inspection/limits-in-units.js';
import { measuredTrends } from '../inspection/measured-before.js';
import { sayLimits } from '../inspection/say-limits.js';
import { cleaningsSinceNew, sayCleanings } from './cleanings.js';
import { broughtBy, laysUp } from './jobs.js';
import type { LineWriter } from './line-writer.js';
import { type Change, type MachineState, reach } from './state.js';
import { opensFuel } from './wet-work.js';

/** The body of one task: its cautions, steps, points, measurements with what was found last time, values to keep, what
 *  to decide, the work that a bad finding brings, what is no fault, and what follows some hours later.
 *  @param lines  the heading stands there already
 *  @param facts  for the last finding of each measurement
 *  @param tasks  of the machine, for the titles of what follows
 *  @param from   how the machine stands when the task begins
 *  @returns      how it stands after the steps
 *  Source: common practice, no source. */
export function writeTask(
  lines: LineWriter,
  task: Task,
  facts: MachineFacts,
  tasks: readonly Task[],
  from: MachineState,
): MachineState {
  lines.cautions(task.id, cautionsOfTheWhole(task));
  if (task.by === 'dealer') {
    writeForDealer(lines, task, facts);
    return from;
  }
  const isLayUp = laysUp(task, tasks);
  const isLast = ({ last }: { readonly last?: true }) => last === true;
  let state = writeSteps(
    lines,
    task,
    task.steps.filter((step) => !isLast(step)),
    from,
    isLayUp,
  );
  for (const points of task.points ?? []) {
    const last = lastOf(task.id, pointsFinding(points), facts);
    const blocked = last === null ? null : tookNone(last.found);
    if (last !== null && blocked !== null)
      lines.note(task.id, `Last time, ${last.day}: ${blocked}. Free it or fit a new fitting.`);
    const missed = last === null || last.isRest ? null : leftOut(last.found);
    if (last !== null && missed !== null)
      lines.note(task.id, `Last time, ${last.day}: ${missed}. Begin with what was left out.`);
    lines.numbered({ kind: 'points', task: task.id, points });
  }
  writeMeasurements(
    lines,
    task,
    task.measure.filter((one) => !isLast(one)),
    facts,
  );
  for (const value of task.keep ?? []) lines.numbered({ kind: 'keep', task: task.id, value });
  for (const fluid of fluidsToFill(task, tasks)) {
    if (fluid.must !== undefined) lines.note(task.id, `${fluid.name}: ${fluid.must}; no other.`);
    if (fluid.fillFirst !== undefined) {
      lines.note(
        task.id,
        `${fluid.name}, ${sayAmountIn(fluid.quantity, lines.units)}: fill ${fluid.fillFirst} of it first, then go by the level.`,
      );
    }
  }
  if (task.ifOut !== undefined) writeIfOut(lines, task, task.ifOut, state);
  state = writeSteps(lines, task, task.steps.filter(isLast), state, isLayUp);
  writeMeasurements(lines, task, task.measure.filter(isLast), facts);
  // What was decided is written down once the work is over.
  if (task.outcomes !== undefined) lines.numbered({ kind: 'outcomes', task: task.id, outcomes: task.outcomes });
  if (task.cleanAtMost !== undefined) {
    lines.note(task.id, sayCleanings(cleaningsSinceNew(task.id, facts.records), task.cleanAtMost));
  }
  for (const note of task.notes ?? []) lines.note(task.id, note);
  for (const follower of task.leadsTo ?? []) {
    const title = tasks.find(({ id }) => id === follower.task)?.title;
    if (title === undefined) continue;
    if (follower.at === 'once') lines.note(task.id, sayAtOnce(task, follower.task, title, tasks));
    if (follower.afterHours !== undefined) lines.note(task.id, `After ${follower.afterHours} h of work: ${title}.`);
  }
  return state;
}

/** What is filled here and how: a task that something else has to close at once leaves the filling to that.
 *  Source: common practice, no source. */
function fluidsToFill(task: Task, tasks: readonly Task[]): Fluid[] {
  if (broughtBy(task, 'once').length > 0) return [];
  const openers = tasks.filter((other) => broughtBy(other, 'once').includes(task.id));
  return [...openers, task].flatMap(({ fluids }) => fluids);
}

/** What closes this task may itself wait for other work on the same thing, such as a filter before the filling. */
function sayAtOnce(task: Task, closer: string, title: string, tasks: readonly Task[]): string {
  const waits = tasks.find(({ id }) => id === closer)?.after ?? [];
  const between = tasks.filter(({ id }) => id !== task.id && waits.includes(id)).map((other) => other.title);
  const but = between.length === 0 ? '' : `, but for what is done today of: ${between.join('; ')}`;
  return `At once, on the same day: ${title}. Nothing else before it${but}.`;
}

/** Laying up says itself how long the engine runs, with a tank that may be empty. */
function withoutWarmUp(change: Change): Change {
  return change.kind === 'warm-up' ? { kind: 'start' } : change;
}

function writeSteps(
  lines: LineWriter,
  task: Task,
  steps: readonly Step[],
  from: MachineState,
  isLayUp: boolean,
): MachineState {
  let state = from;
  for (const step of steps) {
    const reached = reach(state, step.needs ?? {});
    lines.changes(task.id, isLayUp ? reached.changes.map(withoutWarmUp) : reached.changes);
    lines.step(task.id, step);
    state = reached.state;
    if (opensFuel(task) && state.engine !== 'running') lines.opensFuel(task.title);
  }
  return state;
}

function writeMeasurements(lines: LineWriter, task: Task, measure: readonly Measurement[], facts: MachineFacts): void {
  for (const measurement of measure) {
    const last = lastFinding(task.id, measurement, facts);
    if (last !== null) lines.note(task.id, `Last time, ${last}`);
    for (const { place, text } of measuredTrends(task.id, measurement, facts.records, lines.units)) {
      lines.note(task.id, `${place === null ? '' : `${place}: `}${text}`);
    }
    const { specification } = measurement;
    if (specification.kind === 'adjustThen') {
      writeAdjustment(lines, task, measurement, specification);
      continue;
    }
    writeMeasurement(lines, task, measurement, sayLimitsIn(specification, lines.units));
  }
}

function writeMeasurement(lines: LineWriter, task: Task, measurement: Measurement, limits: string): void {
  const unit = expectedUnitIn(measurement.specification, lines.units);
  lines.numbered({ kind: 'measurement', task: task.id, measurement, limits, unit });
}

/** What is adjusted by steps has them one by one, so that the second is not read as the first, and the value as left last. */
function writeAdjustment(
  lines: LineWriter,
  task: Task,
  measurement: Measurement,
  { adjustTo, then: further, min, max }: Extract<Specification, { readonly kind: 'adjustThen' }>,
): void {
  lines.step(task.id, { do: `Before anything is turned, measure as found: ${measurement.name}.` });
  lines.step(task.id, { do: `Set it to ${adjustTo}.` });
  lines.step(task.id, { do: `Then: ${further}.` });
  const limits = sayLimitsIn({ kind: 'range', min, max }, lines.units);
  writeMeasurement(lines, task, measurement, `then check for ${limits}; not done without the value as left`);
}

/** What to ask the dealer or a licensed workshop for: nothing of ours to do. */
function writeForDealer(lines: LineWriter, task: Task, facts: MachineFacts): void {
  for (const measurement of task.measure) {
    const last = lastFinding(task.id, measurement, facts);
    const before = last === null ? '' : ` Last time, ${last}.`;
    const limits = sayLimits(measurement.specification);
    lines.note(task.id, `Ask for ${measurement.name} as found and as left; by this plan ${limits}.${before}`);
  }
  const things = [...task.parts, ...task.fluids].map(({ name }) => name);
  if (things.length > 0) lines.note(task.id, `New with it: ${[...new Set(things)].join(', ')}.`);
  for (const note of task.notes ?? []) lines.note(task.id, note);
}

/** Changes that only the extra work wants stand as notes above it, with their cautions: they are not part of the visit's
 *  own order. */
function writeIfOut(lines: LineWriter, task: Task, ifOut: IfOut, asLeft: MachineState): void {
  for (const change of reach(asLeft, ifOut.needs ?? {}).changes) {
    const { text, cautions } = lines.sayChange(change);
    lines.cautions(task.id, cautions);
    lines.note(task.id, `Only if it was out: ${text}`);
  }
  lines.ifOut(task, ifOut);
}

/** Cautions that no step of the task carries; the others stand above their step. */
function cautionsOfTheWhole(task: Task): CautionRef[] {
  const atSteps = new Set(task.by === 'dealer' ? [] : task.steps.map(({ caution }) => caution));
  return task.cautions.filter((ref) => !atSteps.has(ref));
}

/** The verdict of a record is that of the value as found; only what has to be adjusted is judged as left. */
function lastFinding(task: string, measurement: Measurement, facts: MachineFacts): string | null {
  const isThis = isAbout(task, measurement.id);
  const record = facts.records.findLast(({ findings }) => findings.some(isThis));
  if (record === undefined) return null;
  const isJudgedAsLeft = measurement.specification.kind === 'adjustThen';
  const values = record.findings.filter(isThis).map(({ place, found, left, verdict, note }) => {
    const judged = verdict === null ? '' : ` (${verdict})`;
    const parts = [
      found === null ? '' : `found ${found}${isJudgedAsLeft ? '' : judged}`,
      left === null ? '' : `left ${left}${isJudgedAsLeft ? judged : ''}`,
      note ?? '',
    ];
    return `${place === null ? '' : `${place}: `}${parts.filter((part) => part !== '').join(', ')}`;
  });
  return `${record.day}: ${values.join('; ')}`;
}

/** What the newest record of a task says of its points; null where it says nothing, which means that all took grease. The rest of
 *  a job that was begun on another day (`isRest`) tells of the points of that day only. */
function lastOf(
  task: string,
  measurement: string,
  { records }: MachineFacts,
): { readonly day: string; readonly found: string; readonly isRest: boolean } | null {
  const tells = ({ tasks, findings }: (typeof records)[number]) =>
    tasks.includes(task) || findings.some(isAbout(task, measurement));
  const [before, record] = [undefined, ...records.filter(tells)].slice(-2);
  const found = record?.findings.find(isAbout(task, measurement))?.found ?? null;
  if (record === undefined || found === null) return null;
  const isRest = record.tasks.includes(task) && before !== undefined && !before.tasks.includes(task);
  return { day: record.day, found, isRest };
}

function isAbout(task: string, measurement: string): (finding: Finding) => boolean {
  return (finding) => finding.task === task && finding.measurement === measurement;
}
