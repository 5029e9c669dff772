import type { Machine } from '../domain/machine.js';
import type { HoursEstimate } from '../hours/estimate.js';

/** Weight that the owner's season word must have lost before it is doubted aloud. */
const doubtFrom = 0.8;

/** A sentence where the readings contradict the season word of the configuration; null where they do not, or there is none.
 *  Source: own design; the weight comes from hours/estimate. */
export function sayDoubt(machine: Pick<Machine, 'name' | 'expect'>, estimate: HoursEstimate | null): string | null {
  const pWrong = estimate?.pWordWrong ?? null;
  if (pWrong === null || pWrong < doubtFrom) return null;
  return `The readings of ${machine.name} do not look like use mostly in ${machine.expect.season.replace('-', ' and ')}: “season: unknown” in its file may serve better.`;
}
