import { dayMs } from '../../domain/day.js';
import type { ForecastCase } from '../../forecast/compute.js';
import { interpolate } from '../../maths/interpolate.js';

/** What a person works out with a pencil: days after now until the target; infinite where the line does not rise. */
export interface PencilAnswer {
  readonly method: 'line through two readings' | 'line over a year' | 'last year again';
  readonly dueDays: number;
}

/** The three pencil methods on one question.
 *  @param question  readings ascending, at least one
 *  @returns         one answer a method
 *  Source: common practice, no source. */
export function workOutByPencil(question: ForecastCase): PencilAnswer[] {
  const { readings, nowMs, targetHours } = question;
  const days = readings.map((reading) => (reading.atMs - nowMs) / dayMs);
  const hours = readings.map((reading) => reading.hours);
  const last = { day: days.at(-1) ?? 0, hours: hours.at(-1) ?? 0 };
  const line = (from: { day: number; hours: number } | null) => {
    const rate = from === null || from.day >= last.day ? 0 : (last.hours - from.hours) / (last.day - from.day);
    return rate > 0 ? last.day + (targetHours - last.hours) / rate : Number.POSITIVE_INFINITY;
  };
  const before = days.length < 2 ? null : { day: days.at(-2) ?? 0, hours: hours.at(-2) ?? 0 };
  const yearAgo = Math.max(last.day - 365.25, days[0] ?? 0);
  const overYear = line({ day: yearAgo, hours: interpolate(days, hours, yearAgo) });
  return [
    { method: 'line through two readings', dueDays: line(before) },
    { method: 'line over a year', dueDays: overYear },
    { method: 'last year again', dueDays: replay(days, hours, last, targetHours) ?? overYear },
  ];
}

/** Goes on from the last reading as the year before it went, over and over; null without a year of readings. */
function replay(
  days: readonly number[],
  hours: readonly number[],
  last: { day: number; hours: number },
  targetHours: number,
): number | null {
  const from = last.day - 365;
  if ((days[0] ?? 0) > from) return null;
  const start = interpolate(days, hours, from);
  const aYear = last.hours - start;
  if (aYear <= 0) return Number.POSITIVE_INFINITY;
  const needed = targetHours - last.hours;
  const years = Math.floor(needed / aYear);
  const rest = needed - years * aYear;
  for (let day = 0; day <= 365; day += 1)
    if (interpolate(days, hours, from + day) - start >= rest) return last.day + years * 365 + day;
  return last.day + (years + 1) * 365;
}
