import { dayMs, dayNumber } from '../domain/day.js';
import type { Meter } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import {
  goesShare,
  hoursLevels,
  lateCost,
  leastGain,
  nextChanceDays,
  pastLimitWeight,
  spanOnceRead,
  tooEarlyShare,
  wholeInterval,
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
  readonly machine: { readonly meter: Pick<Meter, 'kind'> };
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
    const next = nextChance(days, index);
    if (index === first) return isTimeNow(due, day, next, asKnown, interval, now);
    return gainOfGoing(squeezed, next, interval) >= meanLeft(squeezed.reached, day, interval);
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

interface Curves {
  readonly reached: CurveSum;
  readonly late: CurveSum;
}

/** What is avoided by not waiting for the next chance: being late, and running past the limit. */
function gainOfGoing({ reached, late }: Curves, next: number, interval: number): number {
  return (
    lateCost * lateIfLeft(late.at(next), late.at(next + nextChanceDays)) +
    (pastLimitWeight * reached.upTo(next)) / interval
  );
}

/** How much likelier the work is late when its call waits for the next chance. A call is heeded on its day by a share g of
 *  people, and by the rest a week after: waiting makes it late with g·P1 + (1 − g)·P2, calling now with (1 − g)·P1.
 *  @param byNext   P1: late before the end of the next chance
 *  @param byAfter  P2: of the one after, >= P1
 *  Source: own policy. */
export function lateIfLeft(byNext: number, byAfter: number): number {
  return (2 * goesShare - 1) * byNext + (1 - goesShare) * byAfter;
}

/** Whether going on a day is better than waiting, by all that is known, in hours where hours are the limit. Going avoids
 *  lateness only where the meter will show the work to be near; where it shows more than a fifth left the trip is in vain,
 *  however likely a burst of use before the next chance (a generator before a storm is not serviced every week). Without a meter nobody sees
 *  that it was too early: the work is done, and all that was left is wasted. */
function isTimeNow(due: Due, day: number, next: number, curves: Curves, interval: number, now: Now): boolean {
  const gain = gainOfGoing(curves, next, interval);
  const { targetHours, intervalHours } = due;
  const { foresight } = now;
  if (foresight === null || targetHours === null || intervalHours === null || intervalHours <= 0) {
    return gain >= meanLeft(curves.reached, day, interval);
  }
  if (gain < leastGain) return false;
  const levels = Array.from({ length: hoursLevels }, (_, i) => (i + 0.5) / hoursLevels);
  const atMs = now.nowMs + (day - now.today) * dayMs;
  const calendarLeft = due.calendarDay === null ? 1 : (dayNumber(due.calendarDay) - day) / interval;
  const outcomes = foresight.hoursQuantiles(atMs, levels, due.countedFrom).map((hours) => ({
    hours,
    left: Math.max(0, Math.min((targetHours - hours) / intervalHours, calendarLeft)),
  }));
  const mostWasted = now.machine.meter.kind === 'none' ? wholeInterval : tooEarlyShare;
  const cost = outcomes.reduce((sum, { left }) => sum + Math.min(left, mostWasted), 0) / hoursLevels;
  if (gain < cost) return false;
  const near = outcomes.filter(({ left }) => left <= mostWasted);
  const limit = targetHours + (due.toleranceHours ?? 0);
  const lateBy = (hours: number, by: number) => {
    const byCalendar = calendarLeft <= (by - day) / interval ? curves.late.at(by) : 0;
    const byMs = now.nowMs + (by + 1 - now.today) * dayMs;
    return Math.max(byCalendar, foresight.pReachedGiven(hours, atMs, limit, byMs, due.countedFrom));
  };
  const pLate = near.map(({ hours }) => lateIfLeft(lateBy(hours, next), lateBy(hours, next + nextChanceDays)));
  const avoided = lateCost * pLate.reduce((sum, p) => sum + p, 0);
  const overrun = near.length * ((pastLimitWeight * curves.reached.upTo(next)) / interval);
  return (avoided + overrun) / hoursLevels >= cost;
}

/** E[min(what is left of the interval, a fifth)] from the due curve, in days: ∫ (1 − F) over the fifth of an interval from that day on. */
function meanLeft(reached: CurveSum, day: number, interval: number): number {
  const span = tooEarlyShare * interval;
  return Math.max(0, span - (reached.upTo(day + span) - reached.upTo(day))) / interval;
}

/** The curves drawn together to the doubt that a reading shortly before would leave. */
function onceRead(due: Due, interval: number): Curves {
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
