import { addDays, type Day, dayOf, startOfDay } from '../domain/day.js';
import type { MachineFacts, ServiceRecord } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { hoursQuantiles } from '../hours/at.js';
import { estimateHours, type HoursEstimate } from '../hours/estimate.js';
import { gatherEvidence } from '../hours/evidence.js';
import { momentOfDay } from './moment-of-day.js';

/** Meter hours of a record for which nobody told any: read on that very day, else estimated for it, else unknown.
 *  @param estimatedNow the caller's estimate for this moment, used for work of today; null where it has none
 *  @param estimateNow  makes the estimate from which the hours of other days follow; an import of many rows keeps its own */
export function hoursOnDay(
  machine: Machine,
  facts: MachineFacts,
  household: Household,
  day: Day,
  nowMs: number,
  estimatedNow: number | null,
  estimateNow: () => HoursEstimate | null = () =>
    estimateHours(gatherEvidence(machine, facts, household.hemisphere), nowMs),
): Pick<ServiceRecord, 'hours' | 'hoursKnown'> {
  // The bounds of the day are found once: an import asks this for hundreds of records beside thousands of readings.
  const fromMs = startOfDay(day, household.zone);
  const toMs = startOfDay(addDays(day, 1), household.zone);
  const read = facts.readings.findLast(({ atMs }) => atMs >= fromMs && atMs < toMs);
  if (read !== undefined) return { hours: read.hours, hoursKnown: 'read' };
  if (estimatedNow !== null && Number.isFinite(estimatedNow) && day === dayOf(nowMs, household.zone)) {
    return { hours: Math.max(0, estimatedNow), hoursKnown: 'estimated' };
  }
  const estimate = estimateNow();
  if (estimate === null) return { hours: null, hoursKnown: 'unknown' };
  const atMs = momentOfDay(day, Number.NaN, [], nowMs, household.zone);
  const [hours] = hoursQuantiles(estimate, atMs, [0.5]);
  return hours === undefined || !Number.isFinite(hours)
    ? { hours: null, hoursKnown: 'unknown' }
    : { hours: Math.max(0, hours), hoursKnown: 'estimated' };
}
