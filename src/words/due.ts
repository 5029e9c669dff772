import { type Day, parseDay } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Machine, Meter } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { SeasonRule, Task } from '../domain/task.js';
import { sayCount } from './counts.js';
import { sayDate } from './dates.js';
import { sayHours } from './hours.js';
import { sayHoursOnMeter } from './hours-on-meter.js';
import { sayMachine } from './machine.js';
import { sayReach } from './reach.js';
import { sayTask } from './task.js';
import { sayTemperature } from './temperature.js';

/** One sentence about when one task comes due: `Change engine oil and filter on the hill tractor: it reaches its limit
 *  between 11 March and 9 April, most likely about 24 March; the hours come first, at 400 h.`
 *  Where no day is known it says why: a check before each use, no reading yet, nobody knows when it was last done.
 *  @param due     from the forecast
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayDue(
  due: Due,
  machine: Pick<Machine, 'tasks' | 'name' | 'meter'>,
  today: Day,
  locale: string,
): string {
  const job = `${sayTask(due.task, machine)} on ${sayMachine(machine)}`;
  if (due.limit === 'use') return `${job}: before each use.`;
  if (due.unknownLast) return `${job}: nobody knows when it was last done; it belongs to getting to know the machine.`;
  if (due.day === null) return `${job}: ${withoutDay(due)}.`;
  const limit = sayWhichLimit(
    due,
    machine.tasks.find((task) => task.id === due.task),
    machine.meter,
  );
  return `${job}: ${sayReach(due.day, today, locale)}${limit === '' ? '' : `; ${limit}`}.`;
}

/** Which limit comes first, as a clause: `the hours come first, at 400 h`, or `next at 400 h` where there is no other limit;
 *  empty where it goes without saying.
 *  @param task   the task, to know whether it has another limit
 *  @param meter  to tell hours from before it was replaced as the meter then showed them
 *  Source: common practice, no source. */
export function sayWhichLimit(due: Due, task: Task | undefined, meter: Meter): string {
  const isOnly =
    task !== undefined && task.every !== 'use' && task.every?.months === undefined && task.season === undefined;
  // Counted from hours that nobody read, the target is no better known than they are.
  const about = due.countedFrom === null ? '' : 'about ';
  const at = due.targetHours === null ? '' : `at ${about}${sayHoursOnMeter(due.targetHours, meter)}`;
  switch (due.limit) {
    case 'hours':
      if (isOnly) return at === '' ? '' : `next ${at}`;
      return at === '' ? 'the hours come first' : `the hours come first, ${at}`;
    case 'break-in':
      return at === '' ? 'the first time' : `the first time, ${at}`;
    case 'months':
      return at === '' ? '' : 'the calendar comes first';
    case 'season':
      return 'the season decides';
    case 'noticed':
      return 'it was found outside its limits, to be mended';
    case 'use':
      return 'before each use';
  }
}

type HowWritten = Pick<Household, 'units' | 'locale'>;

/** How often a task is done: `every 150 h or 18 months`, `first after 30 h, then every 150 h or 18 months`,
 *  `every year, 21 days before the first frost`, `before each use`, `when something is noticed`.
 *  @param due        from the forecast; a task that others bring and that has no interval gives `when another job brings it`
 *  @param household  as `saySeason`
 *  Source: common practice, no source. */
export function sayLimit(due: Pick<Due, 'limit'>, task: Task, household: HowWritten): string {
  const rules: string[] = [];
  if (task.every === 'use') rules.push('before each use');
  const first = sayInterval(task.first);
  const every = task.every === 'use' ? '' : sayInterval(task.every);
  if (due.limit === 'break-in' && first !== '') rules.push(`first after ${first}`);
  if (every !== '') rules.push(`${rules.length > 0 ? 'then ' : ''}every ${every.replace(/^1 year$/, 'year')}`);
  if (task.season !== undefined) rules.push(`every year, ${saySeason(task.season, household)}`);
  if (rules.length === 0 && first !== '') rules.push(`once, after ${first}`);
  if (rules.length === 0) return task.when === 'noticed' ? 'when something is noticed' : 'when another job brings it';
  return rules.join(', ');
}

/** When a season rule falls, as words: `by the first frost`, `21 days before the first frost`, `by 15 October`.
 *  @param household  order of day and month; `us` units say the cold of nights in degrees Fahrenheit, with Celsius beside them
 *  Source: NIST SP 811 (2008) App. B.8 in domain/quantity; the rest common practice, no source. */
export function saySeason(rule: SeasonRule, { units, locale }: HowWritten): string {
  const anchor =
    rule.before === 'first-frost'
      ? 'the first frost'
      : rule.before === 'last-frost'
        ? 'the last frost'
        : sayMonthDay(rule.before, locale);
  const when = rule.days === 0 ? `by ${anchor}` : `${sayCount(rule.days, 'day')} before ${anchor}`;
  return rule.nightsBelow === undefined
    ? when
    : `${when}, or with the first night at ${sayTemperature(rule.nightsBelow, units)}`;
}

/** A day of the year: `15 October`, `October 15`; anything else as it stands.
 *  @param monthDay  `MM-DD`
 *  @param locale    as `sayDay`
 *  Source: common practice, no source. */
export function sayMonthDay(monthDay: string, locale: string): string {
  if (!/^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/.test(monthDay) || /^(02-3|(04|06|09|11)-31)/.test(monthDay))
    return monthDay;
  // A leap year has every day of any.
  const day = parseDay(`2000-${monthDay}`);
  return sayDate(day, day, locale);
}

function sayInterval(interval: { readonly hours?: number; readonly months?: number } | undefined): string {
  const said: string[] = [];
  if (interval?.hours !== undefined) said.push(sayHours(interval.hours));
  if (interval?.months !== undefined) said.push(sayMonths(interval.months));
  return said.join(' or ');
}

function sayMonths(months: number): string {
  return months % 12 === 0 && months >= 12 ? sayCount(months / 12, 'year') : sayCount(months, 'month');
}

function withoutDay(due: Due): string {
  if (due.limit === 'noticed') return 'only when something is noticed';
  if (due.targetHours !== null)
    return 'no date yet, the hours are not known or the limit lies more than ten years away';
  return 'no date within ten years';
}
