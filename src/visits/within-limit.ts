import { dayNumber } from '../domain/day.js';
import type { Due } from '../domain/results/due.js';
import { wholeInterval } from './constants.js';

/** The costs of a task's days with those past its calendar limit made dearer than any company is worth, while a day on or
 *  before the limit is allowed: the calendar's day is certain, so passing it is a choice. Where the only days left before it
 *  would waste a whole interval (a rest or a holiday longer than that) the costs stay as they are.
 *  @param costs  one a day, from `costOfDays`; Infinity where a day is not allowed
 *  @param days   day numbers, ascending
 *  @returns one a day; unchanged without a calendar limit, or where it lies before the first allowed day
 *  Source: own policy. */
export function keepWithinLimit(
  costs: readonly number[],
  due: Pick<Due, 'calendarDay'>,
  days: readonly number[],
): readonly number[] {
  if (due.calendarDay === null) return costs;
  const limit = dayNumber(due.calendarDay);
  const before = costs.filter((cost, i) => (days[i] ?? 0) <= limit && cost < wholeInterval);
  if (before.length === 0) return costs;
  return costs.map((cost, i) => ((days[i] ?? 0) > limit ? cost + wholeInterval : cost));
}
