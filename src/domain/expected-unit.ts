import type { Household } from './household.js';
import { readLimits } from './limits.js';
import { parseQuantity } from './quantity.js';
import type { Specification } from './specification.js';
import { unitOfTools } from './us-units.js';

/** The unit that a bare number takes where a finding is entered: that of the limits, of the readings of a table, of the longest
 *  time of a test, litres for what was topped up.
 *  @returns  a unit of domain/quantity, or null where words are wanted or the plan names no unit
 *  @throws   Fault those of readLimits and parseQuantity, which a checked plan never raises
 *  Source: common practice, no source. */
export function expectedUnit(specification: Specification): string | null {
  switch (specification.kind) {
    case 'look':
    case 'setTo':
      return null;
    case 'level':
      return 'L';
    case 'test':
      return specification.longest === undefined ? null : parseQuantity(specification.longest, 'time').unit;
    case 'lookup': {
      const first = specification.points[0];
      return first === undefined ? null : parseQuantity(first[0]).unit;
    }
    default:
      return readLimits(specification).unit || null;
  }
}

/** The same where this household's tools show another unit than the plan: psi where the limits are in kPa. What is looked up in a
 *  table stays as the table has it.
 *  @returns  as `expectedUnit`
 *  @throws   Fault as `expectedUnit`
 *  Source: common practice, no source. */
export function expectedUnitIn(specification: Specification, units: Household['units']): string | null {
  const unit = expectedUnit(specification);
  return unit === null || specification.kind === 'lookup' ? unit : unitOfTools(unit, units);
}

/** A finding as it goes on record: as typed, a bare number with the unit that it was entered in, so that it means the same when the
 *  plan is written in another unit later. Words, and what carries its unit already, stay as they are.
 *  @param text  one that inspection/judge takes for this specification; for a `difference` two values, for a `level` an amount
 *               behind a comma
 *  @param unit  what a bare number means; absent: the unit of the plan
 *  Source: common practice, no source. */
export function withUnitEntered(
  specification: Specification,
  text: string,
  unit: string | null = expectedUnit(specification),
): string {
  switch (specification.kind) {
    case 'difference': {
      const values = text.split(betweenTwo);
      const [first = ''] = values;
      const both = unit ?? (isBare(first) ? null : parseQuantity(first).unit);
      return values.map((value) => named(value, both)).join('; ');
    }
    case 'level':
      return text.split(/, /).length === 2
        ? text
            .split(/, /)
            .map((part) => named(part, unit))
            .join(', ')
        : text;
    default:
      return named(text, unit);
  }
}

/** What stands between the two values of a difference. */
export const betweenTwo = /\s*(?:;|\band\b)\s*/;

function named(text: string, unit: string | null): string {
  return unit !== null && isBare(text) ? `${text.trim()} ${unit}` : text;
}

/** Whether this is a number without a unit, or an attempt at one. Source: common practice, no source. */
export function isBare(text: string): boolean {
  return /^\s*[-+−]?[\d\s.,/\u2044¼½¾⅐-⅞-]*[\d¼½¾⅐-⅞]\s*$/u.test(text);
}
