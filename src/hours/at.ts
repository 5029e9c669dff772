import { dayMs } from '../domain/day.js';
import { type MeterHours, meterHours } from '../domain/meter-hours.js';
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
export function hoursQuantiles(estimate: HoursEstimate, atMs: number, levels: readonly number[]): MeterHours[] {
  return placedQuantiles(findPlace(estimate, atMs), levels).map(meterHours);
}

function placedQuantiles(place: Place, levels: readonly number[]): number[] {
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

/** Expected hours over the year after an instant, at the pace and season that the evidence shows.
 *  @param nowMs  before the newest reading counts as at it
 *  @returns      hours in 365.25 days, >= 0 */
export function hoursPerYear(estimate: HoursEstimate, nowMs: number): number {
  const fromMs = Math.max(nowMs, estimate.timeline.evidenceEndMs);
  return expectedUse(estimate, fromMs + daysPerYear * dayMs) - expectedUse(estimate, fromMs);
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
