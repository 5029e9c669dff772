import { addDays } from '../domain/day.js';
import { baselinePolicy } from './baseline-turn.js';
import type { PolicyAtWork, Rehearsed } from './policy.js';

const daysInYear = 365.25;
/** Further ahead a calendar is not kept. */
const farthestDays = 36_500;

/** A calendar: each task again after interval / expected hours a year, whatever the meter shows. Where nobody said how many
 *  hours a year to expect, only its calendar limits count.
 *  Source: own design, to compare with. */
export function calendarPolicy({ service }: Pick<Rehearsed, 'service'>): PolicyAtWork {
  const policy = baselinePolicy(service.books, (machine, { hours, lastDay }) => {
    const { hoursPerYear } = machine.expect;
    if (hours === null || hoursPerYear === undefined || hoursPerYear <= 0) return null;
    const days = Math.round((hours.intervalHours / hoursPerYear) * daysInYear);
    return addDays(lastDay ?? machine.since, Math.min(farthestDays, days));
  });
  return { policy, errands: [] };
}
