import { type Day, dayNumber, dayNumbered, weekdayNumbered } from '../domain/day.js';
import type { Household } from '../domain/household.js';

type WorkingTimes = Pick<Household, 'workingDays' | 'daysOff'>;

/** Longest search for a working day, days: past it there is none, and the day asked about is answered. */
const searchDays = 1100;

/** Whether the household works on machines on that day: one of its weekdays, and no day off. A household that names no
 *  working days works on any.
 *  Source: common practice, no source. */
export function isWorkingDay(day: Day, household: WorkingTimes): boolean {
  const { workingDays } = household;
  if (workingDays.length > 0 && !workingDays.includes(weekdayNumbered(dayNumber(day)))) return false;
  return !isDayOff(day, household);
}

/** Whether the day lies in one of the household's days off, both ends included.
 *  Source: common practice, no source. */
export function isDayOff(day: Day, household: Pick<Household, 'daysOff'>): boolean {
  return household.daysOff.some((off) => off.from <= day && day <= off.to);
}

/** The first working day on that day or later; the day itself where three years hold none.
 *  Source: common practice, no source. */
export function nextWorkingDay(day: Day, household: WorkingTimes): Day {
  const first = dayNumber(day);
  for (let number = first; number <= first + searchDays; number++) {
    const candidate = dayNumbered(number);
    if (isWorkingDay(candidate, household)) return candidate;
  }
  return day;
}

/** All working days from `first` to `last`, both included, as day numbers, ascending; none where `last` is earlier.
 *  Source: common practice, no source. */
export function workingDayNumbers(first: number, last: number, household: WorkingTimes): number[] {
  const { workingDays, daysOff } = household;
  const off = daysOff.map((span) => [dayNumber(span.from), dayNumber(span.to)] as const);
  const numbers: number[] = [];
  for (let number = first; number <= last; number++) {
    if (workingDays.length > 0 && !workingDays.includes(weekdayNumbered(number))) continue;
    if (off.some(([from, to]) => from <= number && number <= to)) continue;
    numbers.push(number);
  }
  return numbers;
}
