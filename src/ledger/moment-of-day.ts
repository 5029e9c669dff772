import {
  type Day,
  dayMs,
  dayOf,
  endOfDay,
  hourMs,
  instantOf,
  parseTimeOfDay,
  startOfDay,
  type Zone,
} from '../domain/day.js';
import type { Reading } from '../domain/facts.js';

/** A reading told only by its day is taken as of this time, when most work at home is done with. */
const usualTime = parseTimeOfDay('18:00');

/** The moment to give to hours of which only the day is known: now for today, else the early evening, moved so that it
 *  agrees with other readings of that day. A reading of that day with the same hours gives its own moment.
 *  @param readings of the machine, in any order
 *  @returns never after `nowMs`, within the day */
export function momentOfDay(
  day: Day,
  hours: number,
  readings: readonly Pick<Reading, 'atMs' | 'hours'>[],
  nowMs: number,
  zone: Zone,
): number {
  // The bounds of the day are found once: an import asks this for hundreds of records beside thousands of readings.
  const [startMs, endMs] = [startOfDay(day, zone), endOfDay(day, zone)];
  const equal = readings.find((r) => r.hours === hours && r.atMs >= startMs && r.atMs <= endMs);
  if (equal !== undefined) return equal.atMs;
  // An engine needs an hour for an hour: so far from each reading nearby the moment must lie.
  const nearby = readings.filter((r) => r.atMs > startMs - dayMs && r.atMs < endMs + dayMs);
  const below = nearby.filter((r) => r.hours < hours && r.atMs <= endMs);
  const above = nearby.filter((r) => r.hours > hours && r.atMs >= startMs);
  const lowest = Math.max(startMs, ...below.map((r) => r.atMs + (hours - r.hours) * hourMs));
  const highest = Math.min(endMs, nowMs, ...above.map((r) => r.atMs - (r.hours - hours) * hourMs));
  const wanted = day === dayOf(nowMs, zone) ? nowMs : instantOf(day, usualTime, zone);
  return Math.floor(Math.max(startMs, Math.min(Math.max(wanted, lowest), highest, nowMs)));
}
