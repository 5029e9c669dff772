import { Fault } from './fault.js';
import { convert, convertDifference, type Dimension, parseQuantity, type Quantity } from './quantity.js';
import type { Specification } from './specification.js';

/** The limits of a specification in one unit; null where it has none on that side. */
export interface Limits {
  /** Unit of `min`, else of `max`, else of `nominal`; for a lookup the unit of its values. */
  readonly unit: string;
  /** Null for a lookup's values, whose unit need not be one that converts. */
  readonly dimension: Dimension | null;
  readonly min: number | null;
  readonly max: number | null;
}

/** Specifications that hold a number against limits. */
export type MeasuredSpecification = Extract<
  Specification,
  { readonly kind: 'range' | 'atLeast' | 'atMost' | 'nominal' | 'difference' | 'lookup' | 'adjustThen' }
>;

/** The limits of a specification that has some, in the unit of `min`, else `max`, else `nominal`.
 *  A tolerance may be a share of the nominal value ("10 %").
 *  @param specification  one whose finding is a number
 *  @returns  limits with min <= max; a difference or lookup without limits gives null on both sides
 *  @throws   Fault limits-upside-down, tolerance-negative, and those of parseQuantity
 *  Source: common practice, no source. */
export function readLimits(specification: MeasuredSpecification): Limits {
  switch (specification.kind) {
    case 'range':
    case 'adjustThen':
      return inOrder(between(specification.min, specification.max, convert));
    case 'atLeast':
      return between(specification.min, undefined, convert);
    case 'atMost':
      return between(undefined, specification.max, convert);
    case 'difference':
      return inOrder(between(specification.min, specification.max, convertDifference));
    case 'nominal': {
      const nominal = parseQuantity(specification.nominal);
      const tolerance = toleranceOf(specification.tolerance, nominal);
      return {
        unit: nominal.unit,
        dimension: nominal.dimension,
        min: nominal.value - tolerance,
        max: nominal.value + tolerance,
      };
    }
    case 'lookup':
      return inOrder({
        unit: specification.unit,
        dimension: null,
        min: specification.min ?? null,
        max: specification.max ?? null,
      });
  }
}

function between(
  minText: string | undefined,
  maxText: string | undefined,
  into: (quantity: Quantity, unit: string) => number,
): Limits {
  const min = minText === undefined ? null : parseQuantity(minText);
  const max = maxText === undefined ? null : parseQuantity(maxText, min?.dimension);
  const lead = min ?? max;
  if (lead === null) return { unit: '', dimension: null, min: null, max: null };
  return {
    unit: lead.unit,
    dimension: lead.dimension,
    min: min === null ? null : min.value,
    max: max === null ? null : into(max, lead.unit),
  };
}

function toleranceOf(text: string, nominal: Quantity): number {
  const share = parseQuantity(text, undefined, nominal.unit);
  const tolerance =
    share.dimension === 'ratio' && nominal.dimension !== 'ratio'
      ? (Math.abs(nominal.value) * share.value) / 100
      : convertDifference(parseQuantity(text, nominal.dimension, nominal.unit), nominal.unit);
  if (tolerance < 0) {
    throw new Fault({
      code: 'tolerance-negative',
      message: 'A tolerance is a width and cannot be negative',
      found: JSON.stringify(text),
      remedy: 'Write it without the minus sign, such as 0.5 mm.',
    });
  }
  return tolerance;
}

function inOrder(limits: Limits): Limits {
  const { min, max, unit } = limits;
  if (min !== null && max !== null && min > max) {
    throw new Fault({
      code: 'limits-upside-down',
      message: 'The lower limit is above the upper one',
      found: `min ${min} ${unit}, max ${max} ${unit}`,
      remedy: 'Swap min and max.',
    });
  }
  return limits;
}
