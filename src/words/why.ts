import { dayOf } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Spread } from '../domain/results/due.js';
import type { Why, WhyHours, WhySeason } from '../domain/results/why.js';
import { joinAnd, sayCount, sayDecimal } from './counts.js';
import { sayDate, sayDay } from './dates.js';
import { sayLimit } from './due.js';
import { sayReadHours, sayTenths, toTenth } from './hours.js';
import { isOnEarlierMeter, sayHoursOnMeter } from './hours-on-meter.js';
import { sayReach } from './reach.js';
import { capital } from './sentence.js';
import { sayWhySeason } from './why-season.js';

/** Weeks in the stretch that `lastWeeks` and `nextWeeks` cover. */
const weeks = 6;

/** Why a task comes due when it does, in sentences that can be checked with a pencil: the rule and its start, the evidence, the hours
 *  now, the pace, and the sum of both.
 *  @param why        from outlook/explain-due
 *  @param household  order of day and month, the units of what is cold, and whose days they are
 *  @param season     from outlook/explain-season; null where no season brings the task
 *  @returns          one sentence or two each, in reading order
 *  Source: common practice, no source. */
export function sayWhy(
  why: Why,
  machine: Pick<Machine, 'tasks' | 'meter'>,
  { locale, units, zone }: Pick<Household, 'locale' | 'units' | 'zone'>,
  season: WhySeason | null = null,
): readonly string[] {
  const { due, today, byHours } = why;
  const task = machine.tasks.find((one) => one.id === due.task);
  const date = (day: typeof today) => sayDate(day, today, locale);
  const said: string[] = [];
  if (task !== undefined) said.push(`The plan says: ${sayLimit(due, task, { locale, units })}.`);
  if (season !== null) said.push(...sayWhySeason(season, today, { locale, units }));
  if (due.unknownLast) said.push('Nobody knows when it was last done, so it counts as due.');
  else if (due.lastDay !== null) {
    const at =
      due.lastHours === null
        ? ''
        : ` at ${due.countedFrom === null ? '' : 'about '}${sayHoursOnMeter(due.lastHours, machine.meter, sayTenths)}`;
    const ends = [
      due.targetHours === null ? '' : `the hours run to ${sayHoursOnMeter(due.targetHours, machine.meter, sayTenths)}`,
      due.calendarDay === null
        ? ''
        : `the calendar ${due.targetHours === null ? 'runs ' : ''}to ${sayCalendarEnd(due.calendarDay, due.lastDay, today, locale)}`,
    ].filter((part) => part !== '');
    said.push(`It was last done on ${date(due.lastDay)}${at}${ends.length === 0 ? '' : `, so ${joinAnd(ends)}`}.`);
    if (due.lastHours !== null && due.targetHours !== null && isOnEarlierMeter(due.lastHours, machine.meter))
      said.push(...sayReplaced(machine.meter, (atMs) => date(dayOf(atMs, zone))));
  } else if (due.calendarDay !== null) said.push(`The calendar’s day is ${date(due.calendarDay)}.`);
  if (byHours === null) return said;
  return [...said, ...sayEvidence(why, machine, date), ...saySum(why, byHours, machine, locale, date)];
}

/** The day on which a limit in months ends. Where the last time is told without its year and the end lies about a year later, the end bears
 *  its own: `8 August … to 8 August 2027`. */
function sayCalendarEnd(end: Why['today'], last: Why['today'], today: Why['today'], locale: string): string {
  const isLastWithoutYear = sayDate(last, today, locale) === sayDate(last, last, locale);
  const fromToday = sayDate(end, today, locale);
  const fromLast = sayDate(end, last, locale);
  return isLastWithoutYear && fromLast.length > fromToday.length ? fromLast : fromToday;
}

/** What was shown on both sides of each new meter: without it the sum of last time and interval cannot be checked. */
function sayReplaced(meter: Machine['meter'], date: (atMs: number) => string): string[] {
  if (meter.kind === 'none') return [];
  return meter.changes.map(
    (change) =>
      `The meter was replaced on ${date(change.atMs)}: the one before stopped at ${sayReadHours(change.lastHours)}, the new one began at ${sayReadHours(change.firstHours)}.`,
  );
}

/** When a task comes due, to stand above the reasons: `it reaches its limit between …`, or that nobody knows when it was last done, because a
 *  limit that began nobody knows when is reached on no day that could be named.
 *  Source: common practice, no source. */
export function sayWhenDue(due: Pick<Why['due'], 'day' | 'unknownLast'>, today: Why['today'], locale: string): string {
  if (due.unknownLast) return 'nobody knows when it was last done';
  return due.day === null ? 'no day can be named yet' : sayReach(due.day, today, locale);
}

function sayEvidence(why: Why, machine: Pick<Machine, 'meter'>, date: (day: Why['today']) => string): string[] {
  const { readings, sensor } = why;
  const said: string[] = [];
  const what = machine.meter.kind === 'none' ? 'sum of told runs' : 'reading';
  const shown = (hours: number) =>
    isOnEarlierMeter(hours, machine.meter) ? sayHoursOnMeter(hours, machine.meter) : sayReadHours(hours);
  const newest = joinAnd(readings.newest.map(({ day, hours }) => `${shown(hours)} on ${date(day)}`));
  if (readings.count === 1) said.push(`The hours rest on one reading: ${newest}.`);
  else if (machine.meter.kind === 'none') said.push(`The hours add up what was told, the newest sums: ${newest}.`);
  else if (readings.count > 1) said.push(`The hours rest on ${sayCount(readings.count, what)}, the newest: ${newest}.`);
  if (sensor !== null) {
    said.push(
      `In the last six weeks the sensor was heard for ${sayDecimal(sensor.daysHeard, 1)} days of 42 and saw ${sayDecimal(sensor.hours, 1)} h; the days it missed are estimated.`,
    );
  }
  return said;
}

function saySum(
  { due, today }: Why,
  hours: WhyHours,
  machine: Pick<Machine, 'meter'>,
  locale: string,
  date: (day: Why['today']) => string,
): string[] {
  const left = hoursLeft(hours);
  const where = machine.meter.kind === 'none' ? 'Today it most likely stands' : 'Today the meter most likely stands';
  const said = [
    left > 0
      ? `${where} at ${sayNow(hours.now)}, so about ${sayTenths(left)} are left to ${sayTenths(hours.targetHours)}.`
      : `${where} at ${sayNow(hours.now)}: the limit of ${sayHoursOnMeter(hours.targetHours, machine.meter, sayTenths)} is most likely passed.`,
  ];
  const lastYear =
    hours.sameWeeksLastYear === null
      ? ''
      : `; the same weeks a year ago brought about ${sayTenths(hours.sameWeeksLastYear)}`;
  said.push(
    `The last six weeks brought about ${sayPace(hours.lastWeeks)}. The coming six are expected to bring about ${sayPace(hours.nextWeeks)}${lastYear}.`,
  );
  if (due.day === null) said.push('At that pace the limit lies more than ten years away.');
  else if (due.limit === 'months' || due.limit === 'season')
    said.push(
      `The ${due.limit === 'months' ? 'calendar' : 'season'} is likely to come first: ${sayReach(due.day, today, locale)}.`,
    );
  else if (hours.untilDue !== null && left > 0)
    said.push(
      `From today to ${date(due.day.p50)} it is expected to run about ${sayTenths(hours.untilDue)}: so ${sayReach(due.day, today, locale)}.`,
    );
  else said.push(`${capital(sayReach(due.day, today, locale))}.`);
  return said;
}

/** Hours that are left to the limit: the limit less the hours now, both as they are told.
 *  @returns  below zero where the limit is most likely passed
 *  Source: common practice, no source. */
export function hoursLeft({ targetHours, now }: Pick<WhyHours, 'targetHours' | 'now'>): number {
  return toTenth(toTenth(targetHours) - toTenth(now.p50));
}

/** To the tenth, unlike elsewhere: what is left is reckoned from it. */
function sayNow({ p10, p50, p90 }: Spread<number>): string {
  const [low, high] = [sayDecimal(toTenth(p10), 1), sayDecimal(toTenth(p90), 1)];
  return low === high ? `about ${sayTenths(p50)}` : `about ${sayTenths(p50)} (${low} to ${high})`;
}

function sayPace(hours: number): string {
  return `${sayTenths(hours)} (${sayTenths(toTenth(hours) / weeks)} a week)`;
}

/** What a reading today would make of the date: `At 391.4 h: most likely about Saturday 4 March, between …`.
 *  @param supposed  hours as if read, and when the hours limit would come then
 *  Source: common practice, no source. */
export function sayIfRead(
  supposed: { readonly hours: number; readonly day: Spread<Why['today']> | null },
  today: Why['today'],
  locale: string,
): string {
  const { hours, day } = supposed;
  const read = `If it showed ${sayTenths(hours)} today`;
  if (day === null) return `${read}, the hours limit would lie more than ten years away.`;
  if (day.p90 === today) return `${read}, the hours limit would be reached.`;
  if (day.p10 === day.p90) return `${read}, the hours limit would come on ${sayDay(day.p50, today, locale)}.`;
  return `${read}, the hours limit would come between ${sayDate(day.p10, today, locale)} and ${sayDate(day.p90, today, locale)}, most likely about ${sayDate(day.p50, today, locale)}.`;
}
