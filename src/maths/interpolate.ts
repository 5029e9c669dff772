import { lastAtMost } from './search.js';

/** Value at x on straight lines between the points (xs[i], ys[i]); the end values hold outside.
 *  @param xs  ascending, at least one
 *  @param ys  as many as xs
 *  @returns   0 where there are no points */
export function interpolate(xs: ArrayLike<number>, ys: ArrayLike<number>, x: number): number {
  const i = lastAtMost(xs, x);
  const last = xs.length - 1;
  if (last < 0) return 0;
  if (i < 0) return ys[0] ?? 0;
  if (i >= last) return ys[last] ?? 0;
  const x0 = xs[i] ?? 0;
  const x1 = xs[i + 1] ?? 0;
  const y0 = ys[i] ?? 0;
  const y1 = ys[i + 1] ?? 0;
  return x1 > x0 ? y0 + ((y1 - y0) * (x - x0)) / (x1 - x0) : y1;
}
