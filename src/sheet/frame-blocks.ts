import type { MachineFacts } from '../domain/facts.js';
import type { Needs, Task } from '../domain/task.js';
import { baselineGroup, laysUp, needsOf, stagesOf } from './jobs.js';
import type { LineWriter } from './line-writer.js';
import type { MachineTraits } from './machine-traits.js';
import { type MachineState, putBack, reach } from './state.js';
import { canLeak, opensSomething } from './wet-work.js';

/** Stand in for a task id in the lines before the first task and after the last. */
export const opening = 'opening';
const closing = 'closing';

/** What comes before any work, as the machine has it: a firm place, everything down, brake on or set down safely, key or plug
 *  lead out. Its heading carries the minutes of setting up and putting away.
 *  Source: common practice, no source. */
export function writeOpening(
  lines: LineWriter,
  facts: MachineFacts,
  traits: MachineTraits,
  setUpMinutes: number,
): void {
  lines.heading(opening, 'Set up and put away', setUpMinutes);
  lines.note(opening, 'These minutes are for this block, the changes between jobs, and the end.');
  if (traits.onWheels) {
    lines.cautions(opening, ['implement-falls']);
    lines.step(opening, { do: 'Firm, level ground, outdoors or with the doors wide open; children and animals away.' });
    lines.step(opening, { do: 'Implements and attachments down on the ground, as far as the machine has them.' });
    lines.step(opening, {
      do: 'Brake on, wheels chocked, engine off, key out and in your pocket; no key: plug lead off.',
    });
  } else {
    lines.step(opening, {
      do: 'A firm, level place, outdoors or with the doors wide open; children and animals away. It stands or lies so that it cannot slip or fall.',
    });
    lines.step(opening, { do: `Engine off${atRest(traits)}.` });
  }
  const meter = traits.hasMeter ? ' Write down the hour meter.' : '';
  lines.step(opening, { do: `Lay out tools and parts; gloves and goggles at hand.${meter}` });
  for (const { text } of facts.noticed.filter(({ state }) => state === 'open')) {
    lines.note(opening, `Noticed since the last visit: ${text}`);
  }
}

function atRest({ hasKey, hasPlugLead, isSaw }: MachineTraits): string {
  const brake = isSaw ? ', chain brake on, sheath on the bar' : '';
  if (hasKey) return `${brake}, key out and in your pocket`;
  return hasPlugLead ? `${brake}, plug lead off until it has to run` : brake;
}

/** Whether the engine is started once more after the work: something was opened by work that does not lay the machine up.
 *  Source: common practice, no source. */
export function endsRunning(work: readonly Task[]): boolean {
  return work.some(opensSomething);
}

/** What the last run needs: everything on the machine, on its wheels. A moment of it is enough where no work wanted the engine
 *  warm and laying the machine up runs it anyway, cold: warmed up first it would have to cool down again.
 *  @param work   of the visit, for the fittings that it takes off
 *  @param layUp  what lays the machine up in this visit
 *  Source: common practice, no source. */
export function lastRunNeeds(work: readonly Task[], layUp: readonly Task[]): Needs {
  const fittings = work.flatMap(({ needs }) => Object.keys(needs?.fitted ?? {}));
  const warms = work.some((task) => enginesOf(task).some((engine) => engine === 'warm' || engine === 'running'));
  const isBrief =
    !warms &&
    layUp.some(({ needs }) => needs?.engine === 'cold') &&
    layUp.some((task) => enginesOf(task).includes('running'));
  return {
    engine: isBrief ? 'brief' : 'running',
    raised: 'none',
    covers: [],
    battery: 'connected',
    fitted: Object.fromEntries(fittings.map((fitting) => [fitting, 'on' as const])),
  };
}

function enginesOf(task: Task): Needs['engine'][] {
  return [needsOf(task), ...stagesOf(task)].map(({ engine }) => engine);
}

interface End {
  /** As the last task leaves the machine. */
  readonly state: MachineState;
  /** Tasks of the visit that were worked through. */
  readonly done: readonly Task[];
  /** All tasks of the machine, for its levels and safety switches. */
  readonly machine: readonly Task[];
  readonly traits: MachineTraits;
}

/** The run after the work: everything back on, start, leak look, stop, wait, levels again, coolant once it is cold, safety
 *  switches again. It comes before the machine is laid up, whose tanks may be empty afterwards.
 *  @param end    its tasks without what lays the machine up
 *  @param layUp  what lays the machine up in this visit
 *  @returns      how it leaves the machine
 *  Source: common practice, no source. */
export function writeLastRun(
  lines: LineWriter,
  { state, done, machine, traits }: End,
  layUp: readonly Task[],
): MachineState {
  lines.across(layUp.length > 0 ? 'A last run before it is laid up' : 'At the end');
  const needs = lastRunNeeds(done, layUp);
  const running = reach(state, needs);
  lines.changes(closing, running.changes);
  const wet = done.filter((task) => opensSomething(task) && canLeak(task));
  if (wet.length > 0) {
    lines.step(closing, {
      do: `Guards on and hands off, look for leaks at every place that was opened: ${wet.map(({ title }) => title).join('; ')}.`,
      tool: 'piece of card, lamp',
      caution: traits.warnsOf('injection') ? 'injection' : 'rotating-parts',
    });
  } else {
    lines.step(closing, { do: 'Listen and look for a minute: it runs as before, nothing is loose.' });
  }
  const stopped = reach(running.state, { engine: 'off' });
  lines.changes(closing, stopped.changes);
  const levelled = writeLevels(lines, machine, traits, stopped.state);
  return writeSwitches(lines, machine, levelled, needs.engine === 'brief' && levelled === stopped.state);
}

/** @param runsBriefly  the line before says already that the engine runs for a moment only */
function writeSwitches(
  lines: LineWriter,
  machine: readonly Task[],
  from: MachineState,
  runsBriefly: boolean,
): MachineState {
  const switches = baselineMeasures(machine).filter(
    ({ specification }) => specification.kind === 'test' && specification.stopUse === true,
  );
  if (switches.length === 0) return from;
  const tried = reach(from, { engine: 'brief', covers: [] });
  if (!runsBriefly) lines.changes(closing, tried.changes);
  lines.step(closing, {
    do: `Safety switches and stops again: ${switches.map(({ name }) => name).join('; ')}. One that fails: not to be used until mended.`,
    caution: 'seat-switch-test',
  });
  return tried.state;
}

/** The end of the visit: stopped, everything back on, tools counted, confirmed. A machine that was laid up keeps its battery
 *  as laying up left it.
 *  Source: common practice, no source. */
export function writeClosing(lines: LineWriter, { state, done, machine, traits }: End): void {
  const isLaidUp = done.some((task) => laysUp(task, machine));
  if (isLaidUp || !endsRunning(done)) lines.across('At the end');
  const stopped = reach(state, { engine: state.engine === 'running' ? 'off' : 'any' });
  const back = putBack(stopped.state, 'any', isLaidUp ? 'any' : 'connected');
  lines.changes(closing, [...stopped.changes, ...back.changes]);
  lines.step(closing, { do: `Count tools and rags; guards${traits.onWheels ? ' and shields' : ''} are back on.` });
  const spent = done.some((task) => task.fluids.length > 0 || task.parts.length > 0);
  const containers = spent ? 'Spent fluids, filters and rags into their marked containers; confirm' : 'Confirm';
  lines.step(closing, { do: `${containers} the visit${traits.hasMeter ? ' with the hours' : ''}.` });
}

/** Coolant is read cold only: a hot system throws it at whoever opens the cap. */
function writeLevels(
  lines: LineWriter,
  machine: readonly Task[],
  traits: MachineTraits,
  from: MachineState,
): MachineState {
  const readers = machine.filter(
    ({ group, measure }) =>
      group === baselineGroup && measure.some(({ specification }) => specification.kind === 'level'),
  );
  const levels = [
    ...new Set(
      baselineMeasures(readers).flatMap(({ name, specification }) => (specification.kind === 'level' ? [name] : [])),
    ),
  ];
  if (!traits.hasOilSump && levels.length === 0) return from;
  if (traits.hasOilSump) lines.step(closing, { do: 'Wait until the oil has run down.', unattended: 3 });
  const opened = reach(from, { covers: readers.flatMap(({ needs }) => needs?.covers ?? []) });
  lines.changes(closing, opened.changes);
  const isCoolant = (name: string): boolean => /coolant/i.test(name);
  const warm = levels.filter((name) => !isCoolant(name));
  lines.step(closing, {
    do: warm.length === 0 ? 'Read the oil level again and top up.' : `Read again and top up: ${warm.join(', ')}.`,
    ...(traits.warnsOf('oil-level-rose') ? { caution: 'oil-level-rose' } : {}),
  });
  const coolant = levels.filter(isCoolant);
  if (coolant.length > 0) {
    lines.step(closing, {
      do: `Later, only once the engine is cold: ${coolant.join(', ')}. Until then every cap of the cooling stays shut.`,
      caution: 'hot-radiator-cap',
    });
  }
  return opened.state;
}

function baselineMeasures(machine: readonly Task[]): Task['measure'] {
  return machine.filter(({ group }) => group === baselineGroup).flatMap(({ measure }) => measure);
}
