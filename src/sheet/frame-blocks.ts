import type { MachineFacts } from '../domain/facts.js';
import type { Task } from '../domain/task.js';
import { baselineGroup, storageGroup } from './jobs.js';
import type { LineWriter } from './line-writer.js';
import { type MachineTraits, refsOf } from './machine-traits.js';
import { type Change, type MachineState, putBack, reach } from './state.js';

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
  const brake = isSaw ? ', chain brake on, bar cover on' : '';
  if (hasKey) return `${brake}, key out and in your pocket`;
  return hasPlugLead ? `${brake}, plug lead off until it has to run` : brake;
}

/** Whether a task opens something that can leak afterwards, or takes wheels or fittings off.
 *  Source: common practice, no source. */
function opensSomething(task: Task): boolean {
  const fittings = Object.values(task.needs?.fitted ?? {});
  const isRaised = task.needs?.raised === 'front' || task.needs?.raised === 'rear';
  return isFilled(task) || task.parts.length > 0 || isRaised || fittings.includes('off');
}

/** Cautions of work on what holds oil, fuel or coolant. */
const wetWork = [
  'fuel-fire',
  'diesel-fuel',
  'hot-oil',
  'used-oil',
  'coolant-poison',
  'hydraulic-pressure',
  'injection',
];

function canLeak(task: Task): boolean {
  return isFilled(task) || refsOf(task).some((caution) => wetWork.includes(caution));
}

/** Liquids, not grease by weight. */
function isFilled(task: Task): boolean {
  return task.fluids.some(({ quantity }) => !/\d\s*(k?g|lb|oz)$/i.test(quantity));
}

/** Whether the engine is started once more for the end: something was opened, and the last job does not lay the machine up
 *  or bring it back, which runs the engine in its own steps and may leave the tank dry.
 *  @param inOrder  the tasks as they are worked through
 *  Source: common practice, no source. */
export function endsRunning(inOrder: readonly Task[]): boolean {
  return inOrder.some(opensSomething) && inOrder.at(-1)?.group !== storageGroup;
}

interface Closing {
  /** As the last task leaves the machine. */
  readonly state: MachineState;
  /** Tasks of the visit, as they were worked through. */
  readonly done: readonly Task[];
  /** All tasks of the machine, for its levels and safety switches. */
  readonly machine: readonly Task[];
  readonly traits: MachineTraits;
}

/** The end of the visit, from what was done and what the machine has: everything back, and where something was opened start,
 *  leak look, stop, wait, levels again, safety switches again.
 *  Source: common practice, no source. */
export function writeClosing(lines: LineWriter, { state, done, machine, traits }: Closing): void {
  const opened = done.filter(opensSomething);
  const runs = endsRunning(done);
  lines.across('At the end');
  const back = putBack(state, runs ? 'running' : 'any');
  lines.changes(closing, back.changes);
  const wet = opened.filter(canLeak);
  if (wet.length > 0) {
    lines.step(closing, {
      do: `Look for leaks at every place that was opened: ${wet.map(({ title }) => title).join('; ')}.`,
      tool: 'piece of card, lamp',
      ...(runs ? { caution: traits.warnsOf('injection') ? 'injection' : 'rotating-parts' } : {}),
    });
  } else if (runs) {
    lines.step(closing, { do: 'Listen and look for a minute: it runs as before, nothing is loose.' });
  }
  const stopped = reach(back.state, { engine: back.state.engine === 'running' ? 'off' : 'any' });
  lines.changes(closing, stopped.changes);
  if (opened.length > 0) writeLevels(lines, machine, traits, runs);
  lines.changes(
    closing,
    state.coversOff.map((cover): Change => ({ kind: 'cover-on', cover })),
  );
  lines.step(closing, { do: `Count tools and rags; guards${traits.onWheels ? ' and shields' : ''} back on.` });
  const switches = baselineMeasures(machine).filter(
    ({ specification }) => specification.kind === 'test' && specification.stopUse === true,
  );
  if (runs && switches.length > 0) {
    lines.step(closing, {
      do: `Safety switches and stops again: ${switches.map(({ name }) => name).join('; ')}. One that fails: not to be used until mended.`,
      caution: 'seat-switch-test',
    });
  }
  const spent = done.some((task) => task.fluids.length > 0 || task.parts.length > 0);
  const containers = spent ? 'Spent fluids, filters and rags into their marked containers; confirm' : 'Confirm';
  lines.step(closing, { do: `${containers} the visit${traits.hasMeter ? ' with the hours' : ''}.` });
}

function writeLevels(lines: LineWriter, machine: readonly Task[], traits: MachineTraits, ran: boolean): void {
  const levels = new Set(
    baselineMeasures(machine)
      .filter(({ specification }) => specification.kind === 'level')
      .map(({ name }) => name),
  );
  if (!traits.hasOilSump && levels.size === 0) return;
  if (ran && traits.hasOilSump) lines.step(closing, { do: 'Wait until the oil has run down.', unattended: 3 });
  const which =
    levels.size === 0 ? 'the oil level again and top up' : `the levels again and top up: ${[...levels].join(', ')}`;
  lines.step(closing, {
    do: `Read ${which}.`,
    ...(traits.warnsOf('oil-level-rose') ? { caution: 'oil-level-rose' } : {}),
  });
}

function baselineMeasures(machine: readonly Task[]): Task['measure'] {
  return machine.filter(({ group }) => group === baselineGroup).flatMap(({ measure }) => measure);
}
