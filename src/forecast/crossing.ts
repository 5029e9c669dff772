import { dayMs } from '../domain/day.js';
import { pReached } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { mixtureAt, pAtLeast } from '../hours/law.js';
import { firstReaching } from '../maths/search.js';

/** Days after now beyond which nothing is said. */
export const farthestDays = 3650;

/** Instants at which the hours reach a target with given chances: the t with P(Y(t) >= target) = level.
 *  A target at or below the newest reading was reached before it: the answer is that reading.
 *  @param levels     each above 0 and below 1
 *  @param untilMs    where the search ends
 *  @param tolerance  milliseconds
 *  @returns          one instant a level in the order of the levels; null where it lies after `untilMs`
 *  Source: van Noortwijk 2009 Reliab. Eng. Syst. Saf. 94:2-21. */
export function crossings(
  estimate: HoursEstimate,
  targetHours: number,
  levels: readonly number[],
  untilMs: number,
  tolerance: number,
): (number | null)[] {
  const { origin, edges } = estimate.timeline;
  if (targetHours <= origin.hours) return levels.map(() => origin.atMs);
  const known = new Map<number, number>();
  const reached = (atMs: number) => {
    const before = known.get(atMs);
    if (before !== undefined) return before;
    const p = pAtLeast(mixtureAt(estimate, atMs), targetHours);
    known.set(atMs, p);
    return p;
  };
  const stops = [origin.atMs];
  for (const edge of edges)
    if (edge > 0 && origin.atMs + edge * dayMs < untilMs) stops.push(origin.atMs + edge * dayMs);
  const lastEdgeMs = stops.at(-1) ?? origin.atMs;
  for (let atMs = lastEdgeMs + 360 * dayMs; atMs < untilMs; atMs += 360 * dayMs) stops.push(atMs);
  stops.push(Math.max(untilMs, origin.atMs));
  const found = levels.map((level) => {
    let low = 0;
    let high = stops.length - 1;
    if (reached(stops[high] ?? untilMs) < level) return null;
    while (high - low > 1) {
      const middle = (low + high) >>> 1;
      if (reached(stops[middle] ?? untilMs) >= level) high = middle;
      else low = middle;
    }
    return firstReaching(reached, level, stops[low] ?? origin.atMs, stops[high] ?? untilMs, tolerance);
  });
  return levelled(levels, found);
}

/** Each search ends within its tolerance: a higher level may have ended a hair before a lower one, and takes its instant. */
function levelled(levels: readonly number[], found: readonly (number | null)[]): (number | null)[] {
  return levels.map((level, i) => {
    const own = found[i] ?? null;
    if (own === null) return null;
    return found.reduce<number>(
      (latest, one, k) => ((levels[k] ?? 1) < level ? Math.max(latest, one ?? own) : latest),
      own,
    );
  });
}

/** Instants at which a target at or below the newest reading was crossed, between the two readings around it.
 *  @param targetHours  at or below the newest reading
 *  @param levels       each above 0 and below 1
 *  @returns            one instant a level; the oldest reading where the target lies below it */
export function pastCrossings(estimate: HoursEstimate, targetHours: number, levels: readonly number[]): number[] {
  const { readings, origin } = estimate.timeline;
  const index = readings.findIndex((reading) => reading.hours >= targetHours);
  const after = readings[index] ?? origin;
  const before = readings[index - 1];
  if (before === undefined) return levels.map(() => after.atMs);
  const reached = (atMs: number) => (atMs >= after.atMs ? 1 : pReached(estimate, targetHours, atMs));
  return levels.map((level) => firstReaching(reached, level, before.atMs, after.atMs, dayMs / 4, 0, 1));
}
