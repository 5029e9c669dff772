import type { MachineFacts } from '../domain/facts.js';
import type { Task } from '../domain/task.js';
import { baselineGroup } from './jobs.js';
import type { LineWriter } from './line-writer.js';
import { type Change, type MachineState, putBack, reach } from './state.js';

/** Stand in for a task id in the lines before the first task and after the last. */
export const opening = 'opening';
const closing = 'closing';
/** Minutes of the blocks themselves. Source: common practice, no source. */
export const openingMinutes = 5;
const closingMinutes = { opened: 10, plain: 3 };

/** What comes before any work: level ground, everything down, brake on, key out.
 *  Source: common practice, no source. */
export function writeOpening(lines: LineWriter, facts: MachineFacts): void {
  lines.heading(opening, 'Before anything else', openingMinutes);
  lines.cautions(opening, ['implement-falls']);
  lines.step(opening, { do: 'Firm, level ground, outdoors or with the doors wide open; children and animals away.' });
  lines.step(opening, { do: 'Implements and attachments down on the ground, as far as the machine has them.' });
  lines.step(opening, {
    do: 'Brake on, wheels chocked, engine off, key out and in your pocket; no key: plug lead off.',
  });
  lines.step(opening, { do: 'Lay out tools and parts; gloves and goggles at hand. Write down the hour meter.' });
  for (const { text } of facts.noticed.filter(({ state }) => state === 'open')) {
    lines.note(opening, `Noticed since the last visit: ${text}`);
  }
}

/** Whether a task opens something that can leak afterwards, or takes wheels or fittings off.
 *  Source: common practice, no source. */
export function opensSomething(task: Task): boolean {
  const fittings = Object.values(task.needs?.fitted ?? {});
  const isFilled = task.fluids.some(({ quantity }) => !/\d\s*(k?g|lb|oz)$/i.test(quantity));
  const isRaised = task.needs?.raised === 'front' || task.needs?.raised === 'rear';
  return isFilled || task.parts.length > 0 || isRaised || fittings.includes('off');
}

/** The end of the visit: everything back, and where something was opened start, leak look, stop, wait, levels again,
 *  safety switches again.
 *  @param state    as the last task leaves the machine
 *  @param done     tasks of the visit
 *  @param machine  all tasks of the machine, for its levels and safety switches
 *  @returns        minutes of the block with its changes
 *  Source: common practice, no source. */
export function writeClosing(
  lines: LineWriter,
  state: MachineState,
  done: readonly Task[],
  machine: readonly Task[],
): { readonly minutes: number; readonly changes: readonly Change[] } {
  const opened = done.filter(opensSomething);
  const baselineMeasures = machine.filter(({ group }) => group === baselineGroup).flatMap(({ measure }) => measure);
  const block = opened.length > 0 ? closingMinutes.opened : closingMinutes.plain;
  const coversOn = state.coversOff.map((cover): Change => ({ kind: 'cover-on', cover }));
  lines.heading(closing, 'At the end', block);
  const back = putBack(state, opened.length > 0 ? 'running' : 'any');
  lines.changes(closing, back.changes);
  let changes = back.changes;
  let last = back.state;
  if (opened.length > 0) {
    lines.step(closing, {
      do: `Look for leaks at every place that was opened: ${opened.map(({ title }) => title).join('; ')}.`,
      tool: 'piece of card, lamp',
      caution: isWarnedOf(machine, 'injection') ? 'injection' : 'rotating-parts',
    });
    const stopped = reach(last, { engine: 'off' });
    lines.changes(closing, stopped.changes);
    changes = [...changes, ...stopped.changes];
    last = stopped.state;
    lines.step(closing, { do: 'Wait until the oil has run down.', unattended: 3 });
    const levels = baselineMeasures
      .filter(({ specification }) => specification.kind === 'level')
      .map(({ name }) => name);
    lines.step(closing, {
      do: `Read the levels again and top up${levels.length === 0 ? '' : `: ${[...new Set(levels)].join(', ')}`}.`,
      ...(isWarnedOf(machine, 'oil-level-rose') ? { caution: 'oil-level-rose' } : {}),
    });
  } else if (last.engine === 'running') {
    const stopped = reach(last, { engine: 'off' });
    lines.changes(closing, stopped.changes);
    changes = [...changes, ...stopped.changes];
  }
  lines.changes(closing, coversOn);
  changes = [...changes, ...coversOn];
  lines.step(closing, { do: 'Count tools and rags; guards and shields back on.' });
  const switches = baselineMeasures.filter(
    ({ specification }) => specification.kind === 'test' && specification.stopUse === true,
  );
  if (opened.length > 0 && switches.length > 0) {
    lines.step(closing, {
      do: `Safety switches and stops again: ${switches.map(({ name }) => name).join('; ')}. One that fails: not to be used until mended.`,
      caution: 'seat-switch-test',
    });
  }
  lines.step(closing, {
    do: 'Spent fluids, filters and rags into their marked containers; confirm the visit with the hours.',
  });
  return { minutes: block, changes };
}

/** Whether the machine's own plan warns of this anywhere: what is a danger on one machine is noise on another. */
function isWarnedOf(machine: readonly Task[], caution: string): boolean {
  return machine.some(
    ({ cautions, steps }) => cautions.includes(caution) || steps.some((step) => step.caution === caution),
  );
}
