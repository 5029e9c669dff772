import { addDays, addMonths, type Day, daysBetween } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import { sayOrdinal } from './counts.js';

export { sayMinutes } from '../domain/minutes-text.js';

/** Beyond so many days a span is told in months: naming its days would promise what nobody knows. Common practice, no source. */
const monthsInsteadAfterDays = 270;
/** A day of next year needs no year while it is this near. Common practice, no source. */
const noYearMonths = 10;

/** `Saturday 22 March`, or `Saturday, March 22` where the locale puts months first; the year is added when it is
 *  neither this year nor within the next ten months.
 *  @param today   the household's day, for the year
 *  @param locale  BCP 47 tag; only the order of day and month follows it, the words are English
 *  Source: common practice, no source. */
export function sayDay(day: Day, today: Day, locale: string): string {
  const named = nameParts(day, locale);
  const date = sayDate(day, today, locale);
  return named.monthFirst ? `${named.weekday}, ${date}` : `${named.weekday} ${date}`;
}

/** `Sat 22 March`, for subjects and narrow places; parameters as `sayDay`.
 *  Source: common practice, no source. */
export function sayDayShort(day: Day, today: Day, locale: string): string {
  return `${nameParts(day, locale).weekday.slice(0, 3)} ${sayDate(day, today, locale)}`;
}

/** `22 March`, without the day of the week; parameters as `sayDay`.
 *  Source: common practice, no source. */
export function sayDate(day: Day, today: Day, locale: string): string {
  return writeDate(nameParts(day, locale), needsYear(day, today));
}

/** When, as the end of a sentence: `today`, `tomorrow, Saturday 22 March`, `this Saturday, 22 March` (two to six days
 *  ahead), else `on Saturday 22 March`; parameters as `sayDay`.
 *  Source: common practice, no source. */
export function sayWhen(day: Day, today: Day, locale: string): string {
  const ahead = daysBetween(today, day);
  if (ahead === 0) return 'today';
  if (ahead === 1) return `tomorrow, ${sayDay(day, today, locale)}`;
  if (ahead > 1 && ahead < 7) return `this ${nameParts(day, locale).weekday}, ${sayDate(day, today, locale)}`;
  return `on ${sayDay(day, today, locale)}`;
}

/** By when, as the end of a sentence: `today`, `by tomorrow, …`, `by Tuesday 11 March`; a day that is past gives
 *  `as soon as you can`; parameters as `sayDay`.
 *  Source: common practice, no source. */
export function sayBy(day: Day, today: Day, locale: string): string {
  if (day < today) return 'as soon as you can';
  if (day === today) return 'today';
  return `by ${day === addDays(today, 1) ? 'tomorrow, ' : ''}${sayDay(day, today, locale)}`;
}

/** How long ago: `today`, `yesterday`, `12 days ago`, from ten weeks on `about 4 months ago`. A later day counts as today.
 *  Source: common practice, no source. */
export function sayAgo(day: Day, today: Day): string {
  const days = Math.max(0, daysBetween(day, today));
  if (days === 0) return 'today';
  if (days === 1) return 'yesterday';
  if (days < 70) return `${days} days ago`;
  const months = Math.round(days / 30.44);
  return months < 24 ? `about ${months} months ago` : `about ${Math.round(days / 365.25)} years ago`;
}

/** `between 11 March and 9 April`, `between 9 and 21 May`, `on 9 May`; over about nine months apart only the months are
 *  named. The two days may come in either order; other parameters as `sayDay`.
 *  Source: common practice, no source. */
export function sayDaySpan(a: Day, b: Day, today: Day, locale: string): string {
  const [first, last] = a <= b ? [a, b] : [b, a];
  if (first === last) return `on ${sayDate(first, today, locale)}`;
  const from = nameParts(first, locale);
  const to = nameParts(last, locale);
  if (daysBetween(first, last) > monthsInsteadAfterDays) {
    return `between ${from.month} ${from.year} and ${to.month} ${to.year}`;
  }
  const year = needsYear(first, today) || needsYear(last, today);
  if (from.month === to.month && from.year === to.year) {
    const tail = year ? `, ${to.year}` : '';
    return to.monthFirst
      ? `between ${from.month} ${from.day} and ${to.day}${tail}`
      : `between ${from.day} and ${writeDate(to, year)}`;
  }
  return `between ${writeDate(from, year && from.year !== to.year)} and ${writeDate(to, year)}`;
}

/** The span and where its middle lies: `between 9 and 21 May, most likely about the 14th`. The middle is left out where it
 *  adds nothing: one day, a span of three days or less, or a middle at either end.
 *  @param spread  p10 <= p50 <= p90; other parameters as `sayDay`
 *  Source: common practice, no source. */
export function sayLikelyDays(spread: Spread<Day>, today: Day, locale: string): string {
  const span = sayDaySpan(spread.p10, spread.p90, today, locale);
  const days = daysBetween(spread.p10, spread.p90);
  if (days <= 2 || spread.p50 <= spread.p10 || spread.p50 >= spread.p90) return span;
  return `${span}, most likely about ${sayMiddle(spread, today, locale)}`;
}

function sayMiddle(spread: Spread<Day>, today: Day, locale: string): string {
  const middle = nameParts(spread.p50, locale);
  if (daysBetween(spread.p10, spread.p90) > monthsInsteadAfterDays) return `${middle.month} ${middle.year}`;
  const inOneMonth = spread.p10.slice(0, 7) === spread.p90.slice(0, 7);
  return inOneMonth ? `the ${sayOrdinal(middle.day)}` : sayDate(spread.p50, today, locale);
}

interface DayNames {
  readonly weekday: string;
  readonly day: number;
  readonly month: string;
  readonly year: string;
  readonly monthFirst: boolean;
}

function nameParts(day: Day, locale: string): DayNames {
  const written = new Intl.DateTimeFormat(englishOf(locale), {
    timeZone: 'UTC',
    weekday: 'long',
    day: 'numeric',
    month: 'long',
    year: 'numeric',
  }).formatToParts(new Date(`${day}T00:00:00Z`));
  const said = (type: string) => written.find((part) => part.type === type)?.value ?? '';
  const placeAt = (type: string) => written.findIndex((part) => part.type === type);
  return {
    weekday: said('weekday'),
    day: Number(day.slice(8, 10)),
    month: said('month'),
    year: day.slice(0, 4),
    monthFirst: placeAt('month') < placeAt('day'),
  };
}

function writeDate(names: DayNames, withYear: boolean): string {
  if (names.monthFirst) return `${names.month} ${names.day}${withYear ? `, ${names.year}` : ''}`;
  return `${names.day} ${names.month}${withYear ? ` ${names.year}` : ''}`;
}

function needsYear(day: Day, today: Day): boolean {
  const sameYear = day.slice(0, 4) === today.slice(0, 4);
  return !sameYear && !(day > today && day <= addMonths(today, noYearMonths));
}

/** English words, with the region's order of day and month. */
function englishOf(locale: string): string {
  try {
    const asked = new Intl.Locale(locale);
    if (asked.language === 'en') return asked.baseName;
    return asked.region === undefined ? 'en-GB' : `en-${asked.region}`;
  } catch {
    return 'en-GB';
  }
}
