import { dayMs } from '../domain/day.js';
import { gammaQ } from '../maths/gamma-incomplete.js';
import { firstReaching } from '../maths/search.js';
import { type Bridge, bridgeBetween, bridgeQuantiles, pastUse, pBridgeAtLeast } from './bridge.js';
import { daysPerYear } from './constants.js';
import type { HoursEstimate } from './estimate.js';
import type { EvidenceReading } from './evidence.js';
import { expectedUse, type Mixture, mixtureAt, mixtureQuantiles, pAtLeast } from './law.js';

/** Quantiles of the meter at any instant: after the newest reading the forecast, between readings the bridge (the nearer the narrower),
 *  before the oldest the use counted back from it, never below 0 unless an older meter stood there.
 *  @param atMs    instant, UTC
 *  @param levels  each above 0 and below 1
 *  @returns       hours on the meter in use, one a level; at a reading the reading itself
 *  Source: own design; see law.ts and bridge.ts. */
export function hoursQuantiles(estimate: HoursEstimate, atMs: number, levels: readonly number[]): number[] {
  const place = findPlace(estimate, atMs);
  if (place.kind === 'after') return mixtureQuantiles(place.mixture, levels);
  if (place.kind === 'between') return bridgeQuantiles(place.bridge, levels);
  return levels.map((level) => {
    const { floor, first } = place;
    if (first.hours - floor < 1e-9) return first.hours;
    return firstReaching((hours) => 1 - place.pAtLeast(hours), level, floor, first.hours, 0.01);
  });
}

/** P(Y(at) >= target): the chance that the meter stands at or past the target. Because Y never falls this is also the chance that the
 *  target was first reached by then.
 *  @param targetHours  finite; at or below what a reading before `atMs` showed gives 1
 *  @param atMs         any instant
 *  @returns            0 to 1
 *  Source: van Noortwijk 2009 Reliab. Eng. Syst. Saf. 94:2-21 (first passage of a process that never falls). */
export function pReached(estimate: HoursEstimate, targetHours: number, atMs: number): number {
  const place = findPlace(estimate, atMs);
  if (place.kind === 'after') return pAtLeast(place.mixture, targetHours);
  if (place.kind === 'between') return pBridgeAtLeast(place.bridge, targetHours);
  return place.pAtLeast(targetHours);
}

/** P(Y(at) >= target) as if the meter were read as `hoursNow` at `nowMs`: the beliefs and nodes of the estimate are weighted by how well
 *  they foresaw that reading, and the use from then on starts at it. Costs no fit; says what an answer would be worth.
 *  @param hoursNow     finite; taken as at least the newest reading
 *  @param nowMs        at or after the newest reading
 *  @param targetHours  at or below hoursNow gives 1
 *  @param atMs         at or before nowMs: reached or not is known, 1 or 0
 *  @returns            0 to 1 */
export function pReachedGiven(
  estimate: HoursEstimate,
  hoursNow: number,
  nowMs: number,
  targetHours: number,
  atMs: number,
): number {
  if (targetHours <= hoursNow) return 1;
  if (atMs <= nowMs) return 0;
  const now = mixtureAt(estimate, nowMs);
  const later = mixtureAt(estimate, atMs);
  const rise = Math.max(0, hoursNow - estimate.timeline.origin.hours);
  const weights = now.parts.map(
    (part) => part.weight * (now.parts.length < 2 ? 1 : nearness(now, part, hoursNow, rise)),
  );
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  let p = 0;
  later.parts.forEach((part, i) => {
    const weight = total > 0 ? (weights[i] ?? 0) / total : part.weight;
    if (weight < 1e-4) return;
    const mean = Math.max(0, part.mean - (now.parts[i]?.mean ?? 0));
    p +=
      weight *
      pAtLeast(
        {
          starts: [{ weight: 1, hours: hoursNow }],
          parts: [{ ...part, weight: 1, mean }],
          mostHours: hoursNow + (24 * (atMs - nowMs)) / dayMs,
        },
        targetHours,
      );
  });
  return Math.min(1, p);
}

/** Expected hours over the year after an instant, at the pace and season that the evidence shows.
 *  @param nowMs  before the newest reading counts as at it
 *  @returns      hours in 365.25 days, >= 0 */
export function hoursPerYear(estimate: HoursEstimate, nowMs: number): number {
  const fromMs = Math.max(nowMs, estimate.timeline.evidenceEndMs);
  return expectedUse(estimate, fromMs + daysPerYear * dayMs) - expectedUse(estimate, fromMs);
}

/** Chance of a rise near the one read, under one part: the mass within half an hour or 2 % around it. */
function nearness(now: Mixture, part: Mixture['parts'][number], hoursNow: number, rise: number): number {
  const reach = Math.max(0.5, 0.02 * rise);
  const alone = { ...now, parts: [{ ...part, weight: 1 }], mostHours: Number.POSITIVE_INFINITY };
  return Math.max(0, pAtLeast(alone, hoursNow - reach) - pAtLeast(alone, hoursNow + reach)) + 1e-12;
}

type Place =
  | { readonly kind: 'after'; readonly mixture: Mixture }
  | { readonly kind: 'between'; readonly bridge: Bridge }
  | {
      readonly kind: 'before';
      readonly first: EvidenceReading;
      readonly floor: number;
      readonly pAtLeast: (hours: number) => number;
    };

function findPlace(estimate: HoursEstimate, atMs: number): Place {
  const { timeline } = estimate;
  const { readings, origin } = timeline;
  if (atMs >= origin.atMs) return { kind: 'after', mixture: mixtureAt(estimate, atMs) };
  const next = readings.findIndex((reading) => reading.atMs > atMs);
  const after = readings[next] ?? origin;
  const before = readings[next - 1];
  if (before !== undefined) return { kind: 'between', bridge: bridgeBetween(estimate, before, after, atMs) };
  const floor = Math.min(0, after.hours);
  const atLeast = (hours: number) => {
    if (hours <= floor) return 1;
    if (hours > after.hours) return 0;
    const used = after.hours - hours;
    let p = 0;
    for (const belief of estimate.beliefs) {
      const mean = pastUse(belief, timeline, atMs, after.atMs);
      // Counted back, the pace is known about as well as a year ahead: a relative variance of a quarter joins the bursts.
      const phi = belief.phi + mean / 4;
      p += belief.weight * (1 - gammaQ(Math.max(1e-6, mean / phi), used / phi));
    }
    return used <= 0 ? 0 : Math.min(1, p);
  };
  return { kind: 'before', first: after, floor, pAtLeast: atLeast };
}
