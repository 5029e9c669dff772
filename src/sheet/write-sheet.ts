import { type Caution, signalWords } from '../domain/cautions.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { sayMinutes } from '../domain/minutes-text.js';
import { type BeforeUse, nobodyKnows, type Sheet, type SheetLine } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { minutesOfVisit, tasksOfVisit } from '../domain/visit-minutes.js';
import { asFound } from './as-found.js';
import { endsRunning, lastRunNeeds, opening, writeClosing, writeLastRun, writeOpening } from './frame-blocks.js';
import { broughtBy, jobsOf, laysUp, needsOf } from './jobs.js';
import { LineWriter } from './line-writer.js';
import { refsOf, traitsOf } from './machine-traits.js';
import { type MachineState, reachAll } from './state.js';
import { writeTask } from './task-lines.js';
import { tellsMost } from './tells-most.js';
import { collectTools } from './tools.js';
import { sayWhyEarly } from './why-early.js';
import { orderTasks, type WorkingOrder } from './working-order.js';

const comesFirst =
  'The machine’s own manual, local codes and licensed practice come first. This sheet is common practice and gives way to them.';
/** How many of the worst cautions are said again at the top, where no DANGER asks for more. */
const worstAtTop = 4;

/** Minutes from which a visit may be spread over several days, whatever its kind. */
const longVisit = 240;
/** Fewer minutes over the household's setting up are within its rounding. */
const leastOver = 5;

const spread = 'It may be spread over several days: what is not ticked stays open and is asked for again.';

/** A visit written out in working order: the opening, each task with its state changes before it, the end block.
 *  Tasks that the machine no longer has are left out, and checks before each use stand beside the visit. Getting to know a
 *  machine begins with what tells most of it.
 *  @param visit         proposed or announced
 *  @param machine       the one that the visit is about
 *  @param facts         of that machine: what was noticed, what was found last
 *  @param setUpMinutes  of the household
 *  @param units         what the household's own tools show
 *  @returns  a visit for the dealer is a list of what to ask for, no work of our own
 *  @throws   Fault order-impossible, caution-unknown and those of sayLimits, which a checked plan never raises
 *  Source: common practice, no source. */
export function writeSheet(
  visit: Visit,
  machine: Machine,
  facts: MachineFacts,
  setUpMinutes: number,
  units: Household['units'] = 'metric',
): Sheet {
  const tasks = tasksOfVisit(visit.tasks, machine.tasks);
  const own = tasks.filter(({ by }) => by === 'owner' && visit.by === 'owner');
  const forDealer = tasks.filter((task) => !own.includes(task));
  const first = visit.kind === 'getting-to-know' ? tellsMost(own) : new Set<string>();
  const found = asFound(own, machine.tasks);
  const working = orderOf(own, machine.tasks, first, found);
  const lines = new LineWriter(
    traitsOf(machine),
    own.some((task) => refsOf(task).includes('wheel-off')),
    units,
  );
  if (visit.by === 'owner') writeOwn(lines, working, first, { visit, machine, facts, tasks, setUpMinutes, found });
  for (const task of forDealer) {
    const title = visit.by === 'owner' ? `For the dealer: ${task.title}` : task.title;
    lines.heading(task.id, title, task.minutes, whyNow(task, visit, tasks));
    writeTask(lines, { ...task, by: 'dealer' }, facts, machine.tasks, found);
  }
  const minutes = minutesOfVisit(visit.tasks, machine.tasks, visit.by, setUpMinutes, facts);
  return {
    visit,
    machineName: machine.name,
    minutes,
    head: [...headOf(visit, minutes, first), ...sayBeside(lines, setUpMinutes), ...sayPerhaps(own, minutes)],
    tools: collectTools(working.order.filter((job) => job !== 'last run')),
    shopping: visit.shopping,
    perhaps: visit.perhaps ?? [],
    cautions: worstOf(lines.lines),
    lines: lines.lines,
    comesFirst,
    beforeUse: beforeUseOf(machine.tasks),
    noticed: facts.noticed.filter(({ state: answered }) => answered === 'open').map(({ text }) => text),
    orderProven: working.proven,
  };
}

interface Whole {
  readonly visit: Visit;
  readonly machine: Machine;
  readonly facts: MachineFacts;
  readonly tasks: readonly Task[];
  readonly setUpMinutes: number;
  readonly found: MachineState;
}

/** The run after the work has its place in the order like a job. */
type Turn = Task | 'last run';

function writeOwn(lines: LineWriter, { order: turns, ahead }: Working, first: ReadonlySet<string>, whole: Whole): void {
  const { visit, machine, facts, tasks, setUpMinutes, found } = whole;
  const traits = traitsOf(machine);
  const done = turns.filter((turn) => turn !== 'last run');
  writeOpening(lines, facts, traits, setUpMinutes);
  if (first.size > 0) {
    lines.across('What tells most, before anything is changed');
    lines.note(
      opening,
      traits.onWheels
        ? 'Write down what you see: ages printed on battery, tyres, belts and hoses; colour and smell of what is in it; every drip.'
        : 'Write down what you see: wear, cracks and what is loose; colour and smell of what is in it; every drip.',
    );
  }
  let state = found;
  const lastFirst = turns.findLastIndex((turn) => turn !== 'last run' && first.has(turn.id));
  for (const [at, turn] of turns.entries()) {
    if (first.size > 0 && at === lastFirst + 1) lines.across('What cannot be seen: do it once, then it is known');
    const early = ahead.get(turn === 'last run' ? lastRun : turn.id);
    if (early !== undefined) {
      const reached = reachAll(state, [early]);
      lines.changes(turn === 'last run' ? opening : turn.id, reached.changes);
      state = reached.state;
    }
    if (turn === 'last run') {
      const work = done.filter((task) => !laysUp(task, machine.tasks));
      const end = { state, done: work, machine: machine.tasks, traits };
      state = writeLastRun(
        lines,
        end,
        done.filter((task) => !work.includes(task)),
      );
      continue;
    }
    const reached = reachAll(state, [needsOf(turn)]);
    lines.changes(turn.id, reached.changes);
    const ifOut = turn.ifOut === undefined ? null : turn.minutes + turn.ifOut.minutes;
    lines.heading(turn.id, turn.title, turn.minutes, whyNow(turn, visit, tasks), ifOut);
    state = writeTask(lines, turn, facts, machine.tasks, reached.state);
  }
  if (done.length > 0) writeClosing(lines, { state, done, machine: machine.tasks, traits });
}

/** Turns in order, with what is changed ahead of some. */
interface Working {
  readonly order: readonly Turn[];
  readonly ahead: WorkingOrder['ahead'];
  readonly proven: boolean;
}

/** The quickest order, with the run after the work behind all that does not lay the machine up. */
function orderOf(
  own: readonly Task[],
  machine: readonly Task[],
  first: ReadonlySet<string>,
  found: MachineState,
): Working {
  const work = own.filter((task) => !laysUp(task, machine));
  const runs = endsRunning(work);
  const jobs = jobsOf(own, machine, first).map((job) =>
    runs && !work.some(({ id }) => id === job.id) ? { ...job, after: [...job.after, lastRun] } : job,
  );
  const run = {
    id: lastRun,
    minutes: 0,
    needs: lastRunNeeds(
      work,
      own.filter((task) => !work.includes(task)),
    ),
    after: work.map(({ id }) => id),
  };
  const { order, ahead, proven } = orderTasks(runs ? [...jobs, run] : jobs, 'any', undefined, found);
  const turns = order.flatMap((id): Turn[] => (id === lastRun ? ['last run'] : own.filter((task) => task.id === id)));
  return { order: turns, ahead, proven };
}

/** No id of a task has a blank. */
const lastRun = 'last run';

function headOf(visit: Visit, minutes: number, first: ReadonlySet<string>): string[] {
  if (visit.by === 'dealer') {
    return [
      'A list for the dealer or a licensed workshop: what to ask for. Ask for values as found and as left, in writing.',
    ];
  }
  return [
    ...(first.size > 0 ? ['What tells most of the machine comes first: levels, leaks, filters, ages, safety.'] : []),
    ...(visit.kind === 'getting-to-know' || minutes > longVisit ? [spread] : []),
  ];
}

/** What the minutes of the jobs do not hold: an engine that has to get warm or cold, and more opening up than setting up holds.
 *  To five minutes, since the changes are guesses. */
function sayBeside({ handMinutes, waitingMinutes }: LineWriter, setUpMinutes: number): string[] {
  const toFive = (minutes: number) => sayMinutes(Math.round(minutes / 5) * 5);
  const over = handMinutes - setUpMinutes;
  return [
    ...(waitingMinutes === 0
      ? []
      : [`Waiting comes on top: about ${toFive(waitingMinutes)} for the engine to get warm or cold.`]),
    ...(over < leastOver
      ? []
      : [
          `Covers, stands and the like are about ${toFive(handMinutes)} of the work here, more than setting up and putting away holds: plan about ${toFive(over)} more.`,
        ]),
  ];
}

/** How much longer it can get, and that what does not fit today need not be done today. */
function sayPerhaps(own: readonly Task[], minutes: number): string[] {
  const more = own.reduce((sum, { ifOut }) => sum + (ifOut?.minutes ?? 0), 0);
  if (more === 0) return [];
  const tooLong = minutes + more > longVisit ? ' That may be more than one day has.' : '';
  return [
    `Up to ${more < 60 ? `${more} minutes` : sayMinutes(more)} more, if all that may need adjusting does.${tooLong} What does not fit today: tick “Not today” at that job, and it becomes a visit of its own, with its parts on the list to buy.`,
  ];
}

function whyNow(task: Task, visit: Visit, tasks: readonly Task[]): string | null {
  if (task.mending !== undefined) return `found outside its limits on ${task.mending.foundOn}, to be mended now`;
  if (!visit.tasks.includes(task.id)) {
    const closes = tasks.find((leader) => broughtBy(leader, 'once').includes(task.id));
    if (closes !== undefined) return `at once after “${closes.title}”`;
    const leader = tasks.find((candidate) => broughtBy(candidate, 'end').includes(task.id));
    return leader === undefined ? null : `because of “${leader.title}”`;
  }
  const early = visit.early.find((one) => one.task === task.id);
  if (early !== undefined) return sayWhyEarly(early, visit.day);
  if (visit.pulledForward.includes(task.id)) return 'done early, to share this visit';
  return visit.kind === 'getting-to-know' ? nobodyKnows : null;
}

/** All dangers and, while there are few, the warnings that follow, each once, worst first. */
function worstOf(lines: readonly SheetLine[]): Caution[] {
  const found = new Map<string, Caution>();
  for (const line of lines) {
    const cautions =
      line.kind === 'caution' || line.kind === 'step'
        ? [line.caution]
        : line.kind === 'if-out'
          ? line.steps.map(({ caution }) => caution)
          : [];
    // What the opening and every sheet say is no news at the top.
    const isEverySheet = line.kind === 'caution' && line.task === opening;
    for (const caution of cautions) if (caution !== null && !isEverySheet) found.set(caution.id, caution);
  }
  const worstFirst = signalWords.flatMap((word) => [...found.values()].filter(({ signal }) => signal === word));
  const dangers = worstFirst.filter(({ signal }) => signal === 'DANGER').length;
  return worstFirst
    .filter(({ signal }) => signal === 'DANGER' || signal === 'WARNING')
    .slice(0, Math.max(dangers, worstAtTop));
}

/** The checks before each use, in the order of the plan.
 *  Source: common practice, no source. */
export function beforeUseOf(tasks: readonly Task[]): BeforeUse[] {
  return tasks
    .filter(({ every }) => every === 'use')
    .map(({ id, title, steps, measure }) => ({
      task: id,
      title,
      checks: [...steps.map((step) => step.do), ...measure.map(({ name }) => name)],
    }));
}
