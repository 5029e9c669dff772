import { addMonths, type Day } from '../domain/day.js';

/** A span without messages or working days beyond this is a mistyped year. Common practice, no source. */
export const mostYears = 3;

/** Whether a span from day to day is longer than anybody means it to be. */
export function isYearsLong(from: Day, to: Day): boolean {
  return to > addMonths(from, 12 * mostYears);
}
