import { dayNumber } from '../domain/day.js';
import type { Due, DueCurve } from '../domain/results/due.js';
import { lateCost, yearDays } from './constants.js';

/** What doing a task on a day costs, in units of one whole interval wasted:
 *  E[min(I, max(0, due − d))]/I + C·(P(late before the end of d) + E[days late by d]/I), I the interval in days.
 *  The last term only matters once the task is late: without it one late day would be as good as the next.
 *  @param due   with its curves; null curves cost nothing
 *  @param days  day numbers, ascending
 *  @returns one cost a day, finite, >= 0
 *  Source: expected-cost grouping after Wildeman, Dekker and Smit (1997), from memory; the late term is our own. */
export function costOfDays(due: Pick<Due, 'curve' | 'lateCurve' | 'intervalDays'>, days: readonly number[]): number[] {
  const interval = Math.max(1, due.intervalDays ?? yearDays);
  const reached = sumOf(due.curve);
  const late = sumOf(due.lateCurve);
  return days.map((day) => {
    const wasted = (interval - (reached.upTo(day + interval) - reached.upTo(day))) / interval;
    return Math.max(0, wasted) + lateCost * (late.at(day) + late.upTo(day) / interval);
  });
}

/** Chance that a limit was reached by the end of a day, by its number; 0 before the curve, its last value after it.
 *  Source: straight lines between the points that the forecast gives. */
export function chanceBy(curve: DueCurve | null, day: number): number {
  return sumOf(curve).at(day);
}

interface CurveSum {
  /** The chance at a day. */
  at(day: number): number;
  /** The chances added up over the days from the curve's start to `day`. */
  upTo(day: number): number;
}

const nothing: CurveSum = { at: () => 0, upTo: () => 0 };

/** A curve with its running integral (trapezia, exact for straight lines), so that each question is one search. */
function sumOf(curve: DueCurve | null): CurveSum {
  if (curve === null || curve.offsets.length === 0) return nothing;
  const from = dayNumber(curve.from);
  const x = curve.offsets;
  const p = curve.p;
  const total: number[] = [0];
  for (let i = 1; i < x.length; i++) {
    total.push((total[i - 1] ?? 0) + (((p[i] ?? 0) + (p[i - 1] ?? 0)) / 2) * ((x[i] ?? 0) - (x[i - 1] ?? 0)));
  }
  const last = x.length - 1;
  const locate = (offset: number) => {
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((x[middle] ?? 0) <= offset) low = middle;
      else high = middle;
    }
    return low;
  };
  const at = (day: number) => {
    const offset = day - from;
    if (offset < (x[0] ?? 0)) return 0;
    if (offset >= (x[last] ?? 0)) return p[last] ?? 0;
    const i = locate(offset);
    const width = (x[i + 1] ?? 0) - (x[i] ?? 0);
    const share = width > 0 ? (offset - (x[i] ?? 0)) / width : 0;
    return (p[i] ?? 0) + share * ((p[i + 1] ?? 0) - (p[i] ?? 0));
  };
  return {
    at,
    upTo(day) {
      const offset = day - from;
      if (offset <= (x[0] ?? 0)) return 0;
      if (offset >= (x[last] ?? 0)) return (total[last] ?? 0) + (p[last] ?? 0) * (offset - (x[last] ?? 0));
      const i = locate(offset);
      return (total[i] ?? 0) + (((p[i] ?? 0) + at(day)) / 2) * (offset - (x[i] ?? 0));
    },
  };
}
