import { dayOf } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { Message } from '../domain/results/notice.js';
import type { MachineOutlook } from '../domain/results/outlook.js';
import { sayDate, sayDaySpan } from './dates.js';
import { sayHours, sayHoursNow, sayReadHours } from './hours.js';
import { type LetterContext, machineOf, outlookOf } from './letter-context.js';
import { sayMachine } from './machine.js';
import { mostPressingFirst } from './pressing.js';
import { sayTask } from './task.js';

/** Limits drawn across the picture. Common practice, no source. */
const mostLimits = 2;
/** Readings told in the words beside the picture. Common practice, no source. */
const mostReadings = 3;

/** What the picture of a letter shows, in words: whose hours, which limits, and its text alternative. */
export interface PictureWords {
  readonly machine: Machine;
  readonly outlook: MachineOutlook;
  readonly title: string;
  readonly alt: string;
  readonly limits: readonly { readonly due: Due; readonly hours: number; readonly text: string }[];
}

/** The machine whose hours a letter shows: that of the most pressing notice, if its hours are known and a limit of hours lies
 *  ahead; null where nothing would be seen.
 *  @param facts  of all machines; the readings told are the newest
 *  Source: common practice, no source. */
export function sayPicture(
  message: Message,
  context: LetterContext,
  facts: readonly MachineFacts[],
): PictureWords | null {
  const [notice] = mostPressingFirst(message.notices);
  const machine = notice === undefined ? null : machineOf(notice, context);
  const outlook = machine === null ? null : outlookOf(machine, context);
  const now = outlook?.hoursNow ?? null;
  if (machine === null || outlook === null || now === null) return null;
  const limits = limitsOf(outlook, machine, now.p10);
  if (limits.length === 0) return null;
  const { zone, locale } = context.home.household;
  const { today } = context.outlook;
  const readings = facts.find((one) => one.machine === machine.id)?.readings ?? [];
  const title = `Hours of ${sayMachine(machine)} over time`;
  // An answer to a question and the work of the same day may name one value twice.
  const read = [
    ...new Set(
      readings.map(({ atMs, hours }) => `${sayReadHours(hours)} on ${sayDate(dayOf(atMs, zone), today, locale)}`),
    ),
  ].slice(-mostReadings);
  const alt = [
    `${title}: now ${sayHoursNow(now)}.`,
    read.length === 0 ? '' : `Read ${read.join(', ')}.`,
    ...limits.map(({ text, due }) =>
      due.day === null ? '' : `${text}: reached ${sayDaySpan(due.day.p10, due.day.p90, today, locale)}.`,
    ),
  ];
  return { machine, outlook, title, alt: alt.filter((text) => text !== '').join(' '), limits };
}

/** The next limits in hours, tasks of one limit together. */
function limitsOf({ dues }: MachineOutlook, machine: Machine, least: number): PictureWords['limits'] {
  const byHours = new Map<number, Due[]>();
  for (const due of dues) {
    // Where the calendar comes first, the span of days is not that of the hours.
    if (due.limit !== 'hours' && due.limit !== 'break-in') continue;
    if (due.targetHours === null || due.day === null || due.targetHours < least) continue;
    const hours = Math.round(due.targetHours);
    byHours.set(hours, [...(byHours.get(hours) ?? []), due]);
  }
  return [...byHours].slice(0, mostLimits).flatMap(([hours, [due, ...others]]) => {
    if (due === undefined) return [];
    const more = others.length === 0 ? '' : ` and ${others.length} more`;
    return [{ due, hours, text: `${sayHours(hours)}, ${sayTask(due.task, machine)}${more}` }];
  });
}
