import { type Day, dayNumber } from '../domain/day.js';
import type { DueCurve } from '../domain/results/due.js';
import { interpolate } from '../maths/interpolate.js';

/** Chance that the limit is reached by the end of a day, on straight lines between the curve's offsets.
 *  @param day  0 before the first offset, the last value after the last
 *  @returns    0 to 1 */
export function curveAt(curve: DueCurve, day: Day): number {
  const offset = dayNumber(day) - dayNumber(curve.from);
  return offset < (curve.offsets[0] ?? Number.POSITIVE_INFINITY) ? 0 : interpolate(curve.offsets, curve.p, offset);
}
