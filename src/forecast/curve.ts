import { type Day, dayNumber } from '../domain/day.js';
import type { DueCurve } from '../domain/results/due.js';
import { interpolate } from '../maths/interpolate.js';

/** Chance that the limit is reached by the end of a day, on straight lines between the curve's offsets.
 *  @param day  0 before the first offset, the last value after the last
 *  @returns    0 to 1 */
export function curveAt(curve: DueCurve, day: Day): number {
  return valueAt(curve, dayNumber(day) - dayNumber(curve.from));
}

/** A curve that nowhere lies above another: nothing is past its tolerance before it is due. Each is drawn in straight lines of its own, so
 *  between their offsets the later one could come to lie above by the little that lines differ from the chance itself.
 *  @param below  the one to be held down
 *  @returns      from the first day of `below` on, with the offsets of both */
export function heldBelow(below: DueCurve, above: DueCurve): DueCurve {
  const [first] = below.offsets;
  if (first === undefined) return below;
  const shift = dayNumber(above.from) - dayNumber(below.from);
  // Before its first offset a curve is 0, up to the day before.
  const start = (above.offsets[0] ?? 0) - 1;
  const offsets = [...new Set([...below.offsets, ...[start, ...above.offsets].map((offset) => offset + shift)])]
    .filter((offset) => offset >= first)
    .sort((a, b) => a - b);
  const p = offsets.map((offset) => Math.min(valueAt(below, offset), valueAt(above, offset - shift)));
  return { from: below.from, offsets, p };
}

function valueAt({ offsets, p }: DueCurve, offset: number): number {
  return offset < (offsets[0] ?? Number.POSITIVE_INFINITY) ? 0 : interpolate(offsets, p, offset);
}
