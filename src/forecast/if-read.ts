import { type Day, dayNumber, dayNumbered, dayOf, endOfDay, type Zone } from '../domain/day.js';
import type { Due, Spread } from '../domain/results/due.js';
import type { Foreseen } from '../hours/foresee.js';
import { firstReaching } from '../maths/search.js';
import { farthestDays } from './crossing.js';

/** When the hours limit of a task is reached if the meter were read as `hours` now; calendar limits apart.
 *  @param foreseen  of the machine's estimate
 *  @param due       with `targetHours` and `countedFrom`
 *  @param hours     finite, supposed reading at `nowMs`
 *  @returns         today three times where the reading stands at or past the limit; null beyond ten years or without an hours limit
 *  Source: first passage as in due.ts. */
export function dueIfRead(
  foreseen: Pick<Foreseen, 'pReachedGiven'>,
  due: Pick<Due, 'targetHours' | 'countedFrom'>,
  hours: number,
  nowMs: number,
  zone: Zone,
): Spread<Day> | null {
  const { targetHours, countedFrom } = due;
  if (targetHours === null) return null;
  const today = dayNumber(dayOf(nowMs, zone));
  const chance = (day: number) =>
    foreseen.pReachedGiven(hours, nowMs, targetHours, endOfDay(dayNumbered(Math.round(day)), zone), countedFrom);
  const last = today + farthestDays;
  const atEnd = chance(last);
  const [p10, p50, p90] = [0.1, 0.5, 0.9].map((level) =>
    atEnd < level ? null : Math.round(firstReaching(chance, level, today, last, 1)),
  );
  if (p10 === null || p10 === undefined || p50 === null || p50 === undefined || p90 === null || p90 === undefined) {
    return null;
  }
  return { p10: dayNumbered(p10), p50: dayNumbered(p50), p90: dayNumbered(p90) };
}

/** When hours that are left run out at a steady pace: a pencil's sum.
 *  @param hoursLeft     finite; none or less gives today
 *  @param hoursPerWeek  above 0
 *  @returns             the day, at most ten years ahead; null beyond
 *  Source: common practice, no source. */
export function dayAtPace(hoursLeft: number, hoursPerWeek: number, today: Day): Day | null {
  const days = Math.ceil((Math.max(0, hoursLeft) / hoursPerWeek) * 7);
  return days <= farthestDays ? dayNumbered(dayNumber(today) + days) : null;
}
