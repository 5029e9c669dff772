import {
  type Day,
  dayOf,
  endOfDay,
  instantOf,
  minuteMs,
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
  const thatDay = readings.filter((r) => dayOf(r.atMs, zone) === day);
  const equal = thatDay.find((r) => r.hours === hours);
  if (equal !== undefined) return equal.atMs;
  const lowest = Math.max(
    startOfDay(day, zone),
    ...thatDay.filter((r) => r.hours < hours).map((r) => r.atMs + minuteMs),
  );
  const highest = Math.min(
    endOfDay(day, zone),
    nowMs,
    ...thatDay.filter((r) => r.hours > hours).map((r) => r.atMs - minuteMs),
  );
  const wanted = day === dayOf(nowMs, zone) ? nowMs : instantOf(day, usualTime, zone);
  return Math.min(Math.max(wanted, lowest), highest, nowMs);
}
