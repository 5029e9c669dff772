import { dayOf } from '../domain/day.js';
import type { Reading } from '../domain/facts.js';
import type { Machine, Meter } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { sayAgo } from './dates.js';
import { sayLimit, sayWhichLimit } from './due.js';
import { sayHours, sayHoursNow, sayReadHours } from './hours.js';
import { dueOf, type LetterContext, outlookOf } from './letter-context.js';
import { ended } from './sentence.js';
import { sayTask } from './task.js';

/** Closer than this to what the meter showed last, a bound says nothing beyond it. Common practice, no source. */
const tellsApartHours = 0.5;

/** Why the visit stands where it stands and how sure that is, in up to two texts: the lead task's limit, which of its limits
 *  comes first and what the span of days means; and the hours behind it with their doubt.
 *  Source: common practice, no source. */
export function sayHowSure(visit: Visit, machine: Machine, context: LetterContext): readonly string[] {
  const due = dueOf(machine, visit.leadTask, context);
  const task = machine.tasks.find((one) => one.id === visit.leadTask);
  const said: string[] = [];
  if (due !== null && task !== undefined && visit.kind === 'service') {
    const which = sayWhichLimit(due, task, machine.meter);
    const limit = `${sayTask(visit.leadTask, machine)}: ${sayLimit(due, task, context.home.household)}`;
    said.push(ended(which === '' || which === 'the first time' ? limit : `${limit}; ${which}`));
  }
  if (tellsWholeSpan(visit, context)) said.push('The span of days above holds eight times in ten.');
  return [said.join(' '), sayHoursKnown(machine, context)].filter((text) => text !== '');
}

/** Where the hours stand and since when they are known: `The meter stands at about 386 h (379 to 394); it was last read 12
 *  days ago, at 380.4 h.` Empty where nothing is known.
 *  Source: common practice, no source. */
function sayHoursKnown(machine: Machine, context: LetterContext): string {
  const outlook = outlookOf(machine, context);
  if (outlook === null || outlook.hoursNow === null) return '';
  const now = sayHoursNow(outlook.hoursNow);
  if (machine.meter.kind === 'none') return `By what was told, it has run ${now} since it came here.`;
  const last = outlook.lastReading;
  if (last === null) return `The meter should stand at ${now}.`;
  const ago = sayAgo(dayOf(last.atMs, context.home.household.zone), context.outlook.today);
  const read = last.about ? `about ${sayHours(last.hours)}` : sayReadHours(last.hours);
  return `The meter should stand at ${now}; it was last read ${ago}, at ${read}.`;
}

/** What to do when the meter shows less than expected: enter it, and the visit moves. Only where hours decide the day;
 *  otherwise empty.
 *  Source: common practice, no source. */
export function sayIfLess(visit: Visit, machine: Machine, context: LetterContext): string {
  const due = dueOf(machine, visit.leadTask, context);
  const now = outlookOf(machine, context)?.hoursNow ?? null;
  if (due === null || now === null || visit.kind !== 'service') return '';
  if (due.limit !== 'hours' && due.limit !== 'break-in') return '';
  if (machine.meter.kind === 'none') {
    return 'If it ran less than that, say roughly how long it ran instead of starting: the visit moves to a later day.';
  }
  const threshold = Math.min(now.p10, due.targetHours ?? now.p10);
  const stood = lastKnown(machine.meter, outlookOf(machine, context)?.lastReading ?? null);
  // A meter never shows less than it did: near that, only one that stood still says that there is time.
  const shows =
    stood !== null && Math.abs(threshold - stood) < tellsApartHours
      ? `still shows ${sayReadHours(stood)} or hardly more`
      : `shows less than about ${sayHours(threshold)}`;
  return `Look at the meter first. If it ${shows}, there is no hurry: enter what it shows, and the visit moves to a later day.`;
}

/** What the meter in use showed when anybody last saw it; null where nobody did. */
function lastKnown({ first, changes }: Extract<Meter, { kind: 'meter' }>, reading: Reading | null): number | null {
  const change = changes.at(-1);
  if (change === undefined) return reading?.hours ?? first?.hours ?? null;
  return reading !== null && reading.atMs > change.atMs ? reading.hours : change.firstHours;
}

/** True where the lead names both ends of the span, which it does not once the day in the middle is past. */
function tellsWholeSpan(visit: Visit, context: LetterContext): boolean {
  const { p10, p90 } = visit.due;
  const { today } = context.outlook;
  return visit.kind === 'service' && p10 !== p90 && (p10 >= today || p90 < today);
}
