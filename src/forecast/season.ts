import { type Day, dayNumber, dayNumbered, parseDay } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { SeasonRule } from '../domain/task.js';

/** Frost days where the household names none, `MM-DD`. Common practice, no source: they differ by weeks from place to place. */
export const usualFrost = {
  north: { first: '10-15', last: '05-01' },
  south: { first: '04-15', last: '11-01' },
} as const;

/** No day is earlier: a machine may be older. */
const firstYear = 1970;

/** Work done up to so many days before a season's day counts for that season. Common practice, no source. */
const countsForDays = 183;

/** A cold night earlier than this before the frost or date itself belongs to the spring before: a night of 4 degrees in June is no
 *  sign of winter. Common practice, no source. */
const mostSoonerDays = 75;

/** The day that a season rule names next: `days` before the frost or date, of the first season that the last work does not cover.
 *  @param rule     before which date, and how many days before it
 *  @param lastDay  when the task was last done, or from when it counts
 *  @param isDone   false: `lastDay` is only the day from which the machine is looked after, and covers no season
 *  @returns        may lie in the past: then the season's work was missed; 29 February is 28 February in other years */
export function seasonDay(rule: SeasonRule, lastDay: Day, isDone: boolean, household: Household): Day {
  const date = dateOf(rule, household);
  let year = Math.max(firstYear, Number(lastDay.slice(0, 4)) - 1);
  for (;;) {
    const day = dayNumbered(dayNumber(onDate(year, date)) - rule.days);
    if (isDone ? dayNumber(day) - dayNumber(lastDay) > countsForDays : day >= lastDay)
      return soonerIfCold(rule, day, lastDay, household);
    year += 1;
  }
}

/** The day by a season rule alone, of the season nearest to a day.
 *  @param household  with the frost days to reckon with
 *  Source: definition. */
export function seasonDayNear(rule: SeasonRule, near: Day, household: Household): Day {
  const date = dateOf(rule, household);
  const year = Number(near.slice(0, 4));
  const [first, ...others] = [year, year - 1, year + 1].map((one) => dayNumber(onDate(one, date)) - rule.days);
  const away = (day: number) => Math.abs(day - dayNumber(near));
  return dayNumbered(others.reduce((best, day) => (away(day) < away(best) ? day : best), first ?? dayNumber(near)));
}

/** The first cold night of the season where that came before its day; the day itself where none is known. */
function soonerIfCold({ nightsBelow, days }: SeasonRule, day: Day, lastDay: Day, { nights = [] }: Household): Day {
  if (nightsBelow === undefined) return day;
  const from = dayNumber(day) + days - mostSoonerDays;
  const cold = nights.find(
    (night) => night.celsius <= nightsBelow && night.day > lastDay && dayNumber(night.day) >= from && night.day < day,
  );
  return cold?.day ?? day;
}

function dateOf(rule: SeasonRule, household: Household): string {
  const usual = usualFrost[household.hemisphere];
  if (rule.before === 'first-frost') return household.frost?.first ?? usual.first;
  if (rule.before === 'last-frost') return household.frost?.last ?? usual.last;
  return rule.before;
}

function onDate(year: number, date: string): Day {
  const isLeap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  return parseDay(`${year}-${date === '02-29' && !isLeap ? '02-28' : date}`);
}
