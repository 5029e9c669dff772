import { Temporal } from 'temporal-polyfill';
import { Fault } from './fault.js';

/** A calendar day `YYYY-MM-DD` in the household's time zone; never a JavaScript Date. */
export type Day = string & { readonly brand: 'day' };

/** An IANA time zone name that this computer knows. */
export type Zone = string & { readonly brand: 'zone' };

/** A time of day `HH:MM`, 24 h. */
export type TimeOfDay = string & { readonly brand: 'time-of-day' };

/** The days of the week as the configuration writes them, Monday first (ISO 8601). */
export const weekdays = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
/** One of `weekdays`. */
export type Weekday = (typeof weekdays)[number];

/** Milliseconds of a day of 24 hours; a calendar day may have 23 or 25. */
export const dayMs = 86_400_000;
/** Milliseconds of an hour. */
export const hourMs = 3_600_000;
/** Milliseconds of a minute. */
export const minuteMs = 60_000;

const dayShape = /^\d{4}-\d{2}-\d{2}$/;
const firstYear = 1970;
const lastYear = 2999;

/** A real calendar day from `YYYY-MM-DD`, years 1970 to 2999.
 *  @throws Fault day-unreadable
 *  Source: ISO 8601 calendar dates. */
export function parseDay(text: string): Day {
  const fault = (cause?: unknown) =>
    new Fault({
      code: 'day-unreadable',
      message: 'This is not a calendar day',
      found: JSON.stringify(text.slice(0, 40)),
      remedy: 'Write it as year-month-day, such as 2027-04-09.',
      cause,
    });
  if (!dayShape.test(text)) throw fault();
  const year = Number(text.slice(0, 4));
  if (year < firstYear || year > lastYear) throw fault();
  try {
    return Temporal.PlainDate.from(text, { overflow: 'reject' }).toString() as Day;
  } catch (cause) {
    throw fault(cause);
  }
}

/** A time of day from `H:MM` or `HH:MM`, 00:00 to 23:59.
 *  @throws Fault time-unreadable */
export function parseTimeOfDay(text: string): TimeOfDay {
  const parts = /^(\d{1,2}):(\d{2})$/.exec(text);
  const hour = Number(parts?.[1]);
  const minute = Number(parts?.[2]);
  if (parts === null || hour > 23 || minute > 59) {
    throw new Fault({
      code: 'time-unreadable',
      message: 'This is not a time of day',
      found: JSON.stringify(text.slice(0, 40)),
      remedy: 'Write it as hours:minutes, such as 18:30.',
    });
  }
  return `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}` as TimeOfDay;
}

/** A time zone name that this computer knows, such as `Europe/Lisbon` or `UTC`.
 *  @throws Fault zone-unknown */
export function parseZone(text: string): Zone {
  try {
    return new Intl.DateTimeFormat('en', { timeZone: text }).resolvedOptions().timeZone === ''
      ? ('UTC' as Zone)
      : (text as Zone);
  } catch (cause) {
    throw new Fault({
      code: 'zone-unknown',
      message: 'This time zone is not known here',
      found: JSON.stringify(text.slice(0, 60)),
      remedy: 'Write an IANA name such as Europe/Lisbon or America/Chicago.',
      cause,
    });
  }
}

/** An instant in UTC milliseconds from ISO 8601 with offset or Z; a bare day (midnight) or local time is household time.
 *  A local time that a clock change skips moves forward; one that it repeats is the first of the two.
 *  @throws Fault instant-unreadable
 *  Source: ISO 8601; disambiguation as RFC 5545 section 3.3.5. */
export function parseInstant(text: string, zone: Zone): number {
  const shape = /^\d{4}-\d{2}-\d{2}([T ]\d{2}:\d{2}(:\d{2}(\.\d{1,9})?)?(Z|[+-]\d{2}:?\d{2})?)?$/i;
  const year = Number(text.slice(0, 4));
  try {
    if (!shape.test(text) || year < firstYear || year > lastYear) throw new RangeError('shape');
    const atMs = /(Z|[+-]\d{2}:?\d{2})$/i.test(text.slice(10))
      ? Temporal.Instant.from(text).epochMilliseconds
      : Temporal.PlainDateTime.from(text, { overflow: 'reject' }).toZonedDateTime(zone).epochMilliseconds;
    return atMs;
  } catch (cause) {
    throw new Fault({
      code: 'instant-unreadable',
      message: 'This is not an instant',
      found: JSON.stringify(text.slice(0, 60)),
      remedy: 'Write a day, or a day and time with or without an offset, such as 2027-04-09T18:30Z.',
      cause,
    });
  }
}

/** UTC with Z and no fraction, rounded down to the second. */
export function formatInstant(atMs: number): string {
  return new Date(Math.floor(atMs / 1000) * 1000).toISOString().replace('.000Z', 'Z');
}

/** The household's calendar day at an instant. */
export function dayOf(atMs: number, zone: Zone): Day {
  return zoned(atMs, zone).toPlainDate().toString() as Day;
}

/** The household's time of day at an instant, to the minute. */
export function timeOfDayAt(atMs: number, zone: Zone): TimeOfDay {
  return zoned(atMs, zone).toPlainTime().toString({ smallestUnit: 'minute' }) as TimeOfDay;
}

/** The instant of a time of day on a day; skipped times move forward, repeated ones are the first. */
export function instantOf(day: Day, time: TimeOfDay, zone: Zone): number {
  return Temporal.PlainDateTime.from(`${day}T${time}`).toZonedDateTime(zone).epochMilliseconds;
}

/** The first instant of a day; not always midnight, where a clock change skips it. */
export function startOfDay(day: Day, zone: Zone): number {
  return Temporal.PlainDate.from(day).toZonedDateTime(zone).epochMilliseconds;
}

/** The last instant before the next day starts. */
export function endOfDay(day: Day, zone: Zone): number {
  return startOfDay(addDays(day, 1), zone) - 1;
}

/** The day `days` later (negative: earlier); `days` is a whole number. */
export function addDays(day: Day, days: number): Day {
  return Temporal.PlainDate.from(day).add({ days }).toString() as Day;
}

/** The same day of the month `months` later, or the month's last day: 31 January + 1 month is 28 or 29 February. */
export function addMonths(day: Day, months: number): Day {
  return Temporal.PlainDate.from(day).add({ months }, { overflow: 'constrain' }).toString() as Day;
}

/** Whole days from `from` to `to`; negative when `to` is earlier. */
export function daysBetween(from: Day, to: Day): number {
  return Temporal.PlainDate.from(from).until(Temporal.PlainDate.from(to), { largestUnit: 'day' }).days;
}

/** Days since 1970-01-01: plain arithmetic for searches over hundreds of days, where calendar objects would be slow.
 *  Calendar days have no time zone and no clock changes, so this is exact. */
export function dayNumber(day: Day): number {
  return Math.round(Date.parse(`${day}T00:00:00Z`) / dayMs);
}

/** The day with a number, the inverse of `dayNumber`; `number` is whole. */
export function dayNumbered(number: number): Day {
  return new Date(number * dayMs).toISOString().slice(0, 10) as Day;
}

/** The weekday of a day by its number: 1970-01-01 was a Thursday. */
export function weekdayNumbered(number: number): Weekday {
  return weekdays[(((number + 3) % 7) + 7) % 7] ?? 'mon';
}

/** The weekday of a day. Source: ISO 8601. */
export function weekdayOf(day: Day): Weekday {
  return weekdays[Temporal.PlainDate.from(day).dayOfWeek - 1] ?? 'mon';
}

/** The earlier of two days; days sort as text. */
export function earlierDay(a: Day, b: Day): Day {
  return a <= b ? a : b;
}

/** The later of two days; days sort as text. */
export function laterDay(a: Day, b: Day): Day {
  return a >= b ? a : b;
}

function zoned(atMs: number, zone: Zone) {
  return Temporal.Instant.fromEpochMilliseconds(Math.floor(atMs)).toZonedDateTimeISO(zone);
}
