import type { Machine } from '../domain/machine.js';
import { hoursPerYear } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';

/** Weight that the owner's season word must have lost before it is doubted aloud. */
const doubtFrom = 0.8;

/** A pace this many times the one told, or less than its inverse, is worth a word. */
const farOff = 2;

/** A sentence where the readings contradict what the configuration expects of a year, the season first; null where they do not, or nothing is expected.
 *  Source: own design; the weights come from hours/estimate. */
export function sayDoubt(
  machine: Pick<Machine, 'name' | 'expect'>,
  estimate: HoursEstimate | null,
  nowMs: number,
): string | null {
  if (estimate === null) return null;
  if ((estimate.pWordWrong ?? 0) >= doubtFrom) {
    return `The readings of ${machine.name} do not look like use mostly in ${machine.expect.season.replace('-', ' and ')}: “season: unknown” in its file may serve better.`;
  }
  const told = machine.expect.hoursPerYear;
  if (told === undefined || (estimate.pHoursWrong ?? 0) < doubtFrom) return null;
  const pace = Math.round(hoursPerYear(estimate, nowMs));
  if (pace < farOff * Math.max(told, 1) && pace * farOff > told) return null;
  return `The readings of ${machine.name} look like about ${pace} h a year, not ${told}: dates go by the readings, and “hoursPerYear” in its file may be set right.`;
}
