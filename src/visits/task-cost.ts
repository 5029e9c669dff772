import { dayMs, dayNumber } from '../domain/day.js';
import type { Due } from '../domain/results/due.js';
import {
  hoursLevels,
  lateCost,
  nextChanceDays,
  pastLimitWeight,
  spanOnceRead,
  tooEarlyShare,
  yearDays,
} from './constants.js';
import { type CurveSum, sumCurve } from './curve-sum.js';
import type { Foresight } from './foresight.js';

/** The moment of planning, for what is known now. */
export interface Now {
  readonly nowMs: number;
  /** Number of today. */
  readonly today: number;
  /** Null where nothing is known of the hours. */
  readonly foresight: Foresight | null;
}

/** What doing a task on each candidate day costs more than on its own best one, in units of one whole interval wasted.
 *
 *  The best day is where waiting stops to pay: the first on which C·P(late before the end of the next chance, a week on),
 *  with twice the share of an interval run past the limit until then, exceeds what going there would waste, E[min(what is left, a fifth)]: with more than a fifth left a person only reads the
 *  meter. The first candidate day is judged by all that is known now; further ones as if the meter had been read shortly
 *  before them, because it will be: planned on today's doubt alone, a new machine would be visited far too early (tried: four
 *  trips in vain a year). Earlier than the best day costs the share of the interval given away, later C times the
 *  chance of being late and the share of an interval run late.
 *  @param due       with its curves; null curves cost nothing
 *  @param days      day numbers, ascending
 *  @param earliest  no day before this number
 *  @returns one a day, >= 0, 0 on the best; Infinity before `earliest`
 *  Source: one-step stopping rule, own policy; early and late costs as in Wildeman, Dekker and Smit (1997), from memory. */
export function costOfDays(due: Due, days: readonly number[], earliest: number, now: Now): number[] {
  const interval = Math.max(1, due.intervalDays ?? yearDays);
  const asKnown = { reached: sumCurve(due.curve), late: sumCurve(due.lateCurve) };
  const squeezed = onceRead(due, interval);
  const first = days.findIndex((day) => day >= earliest);
  if (first < 0) return days.map(() => Number.POSITIVE_INFINITY);
  const isTime = (day: number, index: number) => {
    const { late, reached } = index === first ? asKnown : squeezed;
    const left = index === first ? shareLeft(due, day, reached, interval, now) : meanLeft(reached, day, interval);
    const next = nextChance(days, index);
    return lateCost * late.at(next) + (pastLimitWeight * reached.upTo(next)) / interval >= left;
  };
  const found = days.findIndex((day, index) => index >= first && isTime(day, index));
  const best = found < 0 ? days.length - 1 : found;
  const { late } = best === first ? asKnown : squeezed;
  const bestDay = days[best] ?? 0;
  return days.map((day, index) => {
    if (index < first) return Number.POSITIVE_INFINITY;
    if (day <= bestDay) return Math.min(1, (bestDay - day) / interval);
    const lateShare = (late.upTo(day) - late.upTo(bestDay)) / interval;
    return (day - bestDay) / interval + lateCost * (late.at(day) - late.at(bestDay) + lateShare);
  });
}

/** Number of the first candidate day a week on, or a week on where there is none. */
function nextChance(days: readonly number[], index: number): number {
  const week = (days[index] ?? 0) + nextChanceDays;
  for (let i = index + 1; i < days.length; i++) {
    const day = days[i] ?? 0;
    if (day >= week) return day;
  }
  return week;
}

/** E[min(what is left of the interval, a fifth)] on a day, by all that is known: in hours where hours are the limit. */
function shareLeft(due: Due, day: number, reached: CurveSum, interval: number, now: Now): number {
  const { targetHours, intervalHours } = due;
  if (now.foresight === null || targetHours === null || intervalHours === null || intervalHours <= 0) {
    return meanLeft(reached, day, interval);
  }
  const levels = Array.from({ length: hoursLevels }, (_, i) => (i + 0.5) / hoursLevels);
  const calendar = due.calendarDay === null ? tooEarlyShare : (dayNumber(due.calendarDay) - day) / interval;
  const hours = now.foresight.hoursQuantiles(now.nowMs + (day - now.today) * dayMs, levels);
  const lefts = hours.map((h) =>
    Math.min(tooEarlyShare, Math.max(0, Math.min((targetHours - h) / intervalHours, calendar))),
  );
  return lefts.reduce((sum, left) => sum + left, 0) / hoursLevels;
}

/** The same from the due curve, in days: ∫ (1 − F) over the fifth of an interval from that day on. */
function meanLeft(reached: CurveSum, day: number, interval: number): number {
  const span = tooEarlyShare * interval;
  return Math.max(0, span - (reached.upTo(day + span) - reached.upTo(day))) / interval;
}

/** The curves drawn together to the doubt that a reading shortly before would leave. */
function onceRead(due: Due, interval: number): { reached: CurveSum; late: CurveSum } {
  if (due.day === null) return { reached: sumCurve(null), late: sumCurve(null) };
  const half = (dayNumber(due.day.p90) - dayNumber(due.day.p10)) / 2;
  const by = half > 0 ? Math.min(1, (spanOnceRead * interval) / half) : 1;
  const middle = dayNumber(due.day.p50);
  const reached = sumCurve(due.curve, { middle, by });
  return { reached, late: sumCurve(due.lateCurve, { middle: medianOf(due) ?? middle, by }) };
}

/** Number of the day by which being late is as likely as not; null where it never gets there. */
function medianOf(due: Due): number | null {
  const curve = due.lateCurve;
  if (curve === null) return null;
  const above = curve.p.findIndex((p) => p >= 0.5);
  if (above < 0) return null;
  const [x1, p1] = [curve.offsets[above] ?? 0, curve.p[above] ?? 0];
  const [x0, p0] = [curve.offsets[above - 1] ?? x1, curve.p[above - 1] ?? p1];
  return dayNumber(curve.from) + (p1 > p0 ? x0 + ((0.5 - p0) / (p1 - p0)) * (x1 - x0) : x1);
}
