import { addDays, type Day, formatInstant } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { sayMinutes } from '../words/dates.js';
import { sayReach } from '../words/reach.js';
import { capital, oneLine } from '../words/sentence.js';
import { sayTask } from '../words/task.js';
import { sayVisitTitle } from '../words/visit.js';
import { contentLine, escapeText } from './calendar-line.js';

/** How often a calendar program is asked to look again; most look when they like. */
const lookAgain = 'PT6H';
/** When its calendar program speaks up on the day, if it does: hours after the day's local midnight. */
const alarmHour = 8;
const cancelled = 'done, or no longer planned';

/** One visit as the calendar shows it. */
export interface CalendarVisit {
  /** Never another for the same visit, in this household or elsewhere. */
  readonly uid: string;
  readonly visit: Pick<Visit, 'tasks' | 'leadTask' | 'kind' | 'by' | 'due' | 'minutes'>;
  readonly machine: Pick<Machine, 'name' | 'tasks'>;
  /** The day shown: small moves of what is only proposed are not passed on. */
  readonly day: Day;
  /** Times that day or tasks changed, 0 at first. */
  readonly sequence: number;
  /** When day or tasks changed last. */
  readonly changedAtMs: number;
  /** The bench sheet; it opens the page and carries no right to confirm anything. */
  readonly sheetUrl: string;
  /** A failed safety test takes the machine out of use until it is mended. */
  readonly notToBeUsed: boolean;
}

/** A visit that the calendar showed and that is no longer planned. */
export type CancelledVisit = Pick<CalendarVisit, 'uid' | 'day' | 'sequence' | 'changedAtMs'> & {
  /** Null where nobody knows its name any more. */
  readonly machine: Pick<Machine, 'name'> | null;
};

/** The visits ahead as an iCalendar object that calendar programs subscribe to: one all-day event a visit, on which nobody
 *  counts as busy. The same visits on the same day of `today` give the same bytes.
 *  @param calendar.name    of the household
 *  @param calendar.today   the household's day: the years in the sentences hang on it
 *  @param calendar.locale  order of day and month in the sentences
 *  @param calendar.visits  any number; none gives an empty calendar
 *  @param calendar.cancelled  said with STATUS:CANCELLED, without sheet and alarm, so that programs which keep old events drop them
 *  @returns CRLF after every line, the last one too; no line longer than 75 octets
 *  Source: RFC 5545 sections 3.1, 3.6, 3.6.1 and 3.6.6; RFC 7986 sections 5.1 and 5.7 (NAME, REFRESH-INTERVAL);
 *  X-WR-CALNAME and X-PUBLISHED-TTL are common practice, no source. */
export function writeCalendar(calendar: {
  readonly name: string;
  readonly today: Day;
  readonly locale: string;
  readonly visits: readonly CalendarVisit[];
  readonly cancelled?: readonly CancelledVisit[];
}): string {
  const name = escapeText(oneLine(calendar.name));
  return [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Shedbell//Visits ahead//EN',
    'METHOD:PUBLISH',
    `NAME:${name}`,
    `X-WR-CALNAME:${name}`,
    `REFRESH-INTERVAL;VALUE=DURATION:${lookAgain}`,
    `X-PUBLISHED-TTL:${lookAgain}`,
    ...calendar.visits.flatMap((visit) => eventLines(visit, calendar.today, calendar.locale)),
    ...(calendar.cancelled ?? []).flatMap(cancelledLines),
    'END:VCALENDAR',
  ]
    .map(contentLine)
    .join('');
}

function eventLines(entry: CalendarVisit, today: Day, locale: string): readonly string[] {
  const { visit, machine } = entry;
  const name = entry.notToBeUsed ? `${machine.name} (do not use)` : machine.name;
  const summary = escapeText(oneLine(`${name}: ${sayVisitTitle(visit, machine)}`));
  return [
    'BEGIN:VEVENT',
    ...identityLines(entry),
    `SUMMARY:${summary}`,
    `DESCRIPTION:${escapeText(describe(entry, today, locale))}`,
    `URL:${entry.sheetUrl}`,
    'TRANSP:TRANSPARENT',
    'BEGIN:VALARM',
    'ACTION:DISPLAY',
    `DESCRIPTION:${summary}`,
    `TRIGGER:PT${alarmHour}H`,
    'END:VALARM',
    'END:VEVENT',
  ];
}

/** Source: RFC 5545 section 3.8.1.11 (STATUS). */
function cancelledLines(entry: CancelledVisit): readonly string[] {
  return [
    'BEGIN:VEVENT',
    ...identityLines(entry),
    `SUMMARY:${escapeText(oneLine(entry.machine === null ? capital(cancelled) : `${entry.machine.name}: ${cancelled}`))}`,
    'STATUS:CANCELLED',
    'TRANSP:TRANSPARENT',
    'END:VEVENT',
  ];
}

function identityLines(entry: Pick<CalendarVisit, 'uid' | 'day' | 'sequence' | 'changedAtMs'>): readonly string[] {
  const changed = stamp(entry.changedAtMs);
  return [
    `UID:${escapeText(entry.uid)}`,
    `DTSTAMP:${changed}`,
    `LAST-MODIFIED:${changed}`,
    `SEQUENCE:${entry.sequence}`,
    `DTSTART;VALUE=DATE:${bareDay(entry.day)}`,
    // The day after: the end is the first day that does not belong to it.
    `DTEND;VALUE=DATE:${bareDay(addDays(entry.day, 1))}`,
  ];
}

/** What the event says when it is opened: how sure the day is, what is to be done, and where the bench sheet is. */
function describe({ visit, machine, sheetUrl, notToBeUsed }: CalendarVisit, today: Day, locale: string): string {
  const several = visit.tasks.length > 1;
  const sure =
    visit.kind === 'getting-to-know'
      ? `nobody knows when ${several ? 'its jobs were' : 'it was'} last done`
      : sayReach(visit.due, today, locale, several ? 'the first of its jobs' : 'it');
  const jobs = visit.tasks.map((task) => `- ${sayTask(task, machine)}`);
  return [
    ...(notToBeUsed ? ['Do not use it until mended: a safety test failed.'] : []),
    `${capital(sure)}.`,
    ...(several ? jobs : []),
    visit.by === 'dealer' ? 'Work for the dealer.' : `About ${sayMinutes(visit.minutes)} of work.`,
    `Bench sheet: ${sheetUrl}`,
  ].join('\n');
}

/** Source: RFC 5545 section 3.3.4. */
function bareDay(day: Day): string {
  return day.replaceAll('-', '');
}

/** Source: RFC 5545 section 3.3.5, form 2 (UTC). */
function stamp(atMs: number): string {
  return formatInstant(atMs).replace(/[-:]/g, '');
}
