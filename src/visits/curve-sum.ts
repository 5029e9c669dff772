import { dayNumber } from '../domain/day.js';
import type { DueCurve } from '../domain/results/due.js';

/** A due curve that is asked about many days. */
export interface CurveSum {
  /** Chance that the limit was reached by the end of a day, by its number. */
  at(day: number): number;
  /** The chances added up over the days from the curve's start to `day`. */
  upTo(day: number): number;
}

const nothing: CurveSum = { at: () => 0, upTo: () => 0 };

/** Chance that a limit was reached by the end of a day, by its number; 0 before the curve, its last value after it.
 *  Source: straight lines between the points that the forecast gives. */
export function chanceBy(curve: DueCurve | null, day: number): number {
  return sumCurve(curve).at(day);
}

/** A curve with its running integral (trapezia, exact for straight lines), so that each question is one search.
 *  @param curve    null is never reached
 *  @param squeeze  days are drawn together around `middle` by `by` (1: as it is)
 *  Source: definition. */
export function sumCurve(curve: DueCurve | null, squeeze = { middle: 0, by: 1 }): CurveSum {
  if (curve === null || curve.offsets.length === 0) return nothing;
  const from = dayNumber(curve.from);
  const middle = squeeze.middle - from;
  const x = curve.offsets.map((offset) => middle + (offset - middle) * squeeze.by);
  const p = curve.p;
  const last = x.length - 1;
  const first = x[0] ?? 0;
  const end = x[last] ?? 0;
  const pEnd = p[last] ?? 0;
  const total: number[] = [0];
  for (let i = 1; i < x.length; i++) {
    total.push((total[i - 1] ?? 0) + (((p[i] ?? 0) + (p[i - 1] ?? 0)) / 2) * ((x[i] ?? 0) - (x[i - 1] ?? 0)));
  }
  const locate = (offset: number) => {
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const half = (low + high) >> 1;
      if ((x[half] ?? 0) <= offset) low = half;
      else high = half;
    }
    return low;
  };
  const at = (day: number) => {
    const offset = day - from;
    if (offset < first) return 0;
    if (offset >= end) return pEnd;
    const i = locate(offset);
    const width = (x[i + 1] ?? 0) - (x[i] ?? 0);
    const share = width > 0 ? (offset - (x[i] ?? 0)) / width : 0;
    return (p[i] ?? 0) + share * ((p[i + 1] ?? 0) - (p[i] ?? 0));
  };
  return {
    at,
    upTo(day) {
      const offset = day - from;
      if (offset <= first) return 0;
      if (offset >= end) return (total[last] ?? 0) + pEnd * (offset - end);
      const i = locate(offset);
      return (total[i] ?? 0) + (((p[i] ?? 0) + at(day)) / 2) * (offset - (x[i] ?? 0));
    },
  };
}
