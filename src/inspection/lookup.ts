import { convert, convertDifference, parseQuantity } from '../domain/quantity.js';
import type { Specification } from '../domain/specification.js';
import { inspectionFault } from './errors.js';

type Lookup = Extract<Specification, { readonly kind: 'lookup' }>;

/** A reading turned into what it stands for, by straight lines between the points of a table.
 *  @param specification  at least two points, readings of one quantity, none twice, any order
 *  @param found          quantity text; a bare number takes the unit of the first point
 *  @param step           the instrument's step in the reading's quantity, or absent
 *  @returns  value in the table's unit, and what one step of the instrument is worth there, through the slope
 *            (the steeper of two where the reading is a point of the table); 0 without a step
 *  @throws   Fault table-too-short, table-point-twice, outside-the-table, and those of parseQuantity
 *  Source: common practice, no source. */
export function lookUp(
  specification: Lookup,
  found: string,
  step: string | undefined,
): { readonly value: number; readonly stepValue: number } {
  const first = specification.points[0];
  if (first === undefined || specification.points.length < 2) {
    throw inspectionFault({
      code: 'table-too-short',
      message: 'A table needs at least two points',
      found: `${specification.points.length} points`,
      remedy: 'Write points such as [["12.0 V", 25], ["12.4 V", 75]].',
    });
  }
  const { unit, dimension } = parseQuantity(first[0]);
  const points = specification.points
    .map(([reading, value]) => ({ at: convert(parseQuantity(reading, dimension, unit), unit), value }))
    .sort((a, b) => a.at - b.at);
  const at = convert(parseQuantity(found, dimension, unit), unit);
  const slack = 1e-12 * Math.max(...points.map((point) => Math.abs(point.at)));
  let value: number | null = null;
  let slope = 0;
  let left = points[0];
  for (const right of points.slice(1)) {
    if (left === undefined) break;
    if (right.at === left.at) {
      throw inspectionFault({
        code: 'table-point-twice',
        message: 'A table has one value for each reading',
        found: `${right.at} ${unit} twice`,
        remedy: 'Leave one of the two points out.',
      });
    }
    if (at >= left.at - slack && at <= right.at + slack) {
      const rise = (right.value - left.value) / (right.at - left.at);
      const along = Math.min(Math.max(at, left.at), right.at) - left.at;
      value = left.value + rise * along;
      slope = Math.max(slope, Math.abs(rise));
    }
    left = right;
  }
  if (value === null) {
    throw inspectionFault({
      code: 'outside-the-table',
      message: 'The reading lies outside the table',
      found: `${found}; the table runs from ${points[0]?.at} to ${points.at(-1)?.at} ${unit}`,
      remedy: 'Check the reading and its unit; beyond the table there is no verdict.',
    });
  }
  const stepThere = step === undefined ? 0 : convertDifference(parseQuantity(step, dimension, unit), unit);
  return { value, stepValue: slope * stepThere };
}
