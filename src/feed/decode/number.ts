import { sayDecimal } from '../../words/counts.js';
import { type Refused, refusalCodes, refuse } from '../errors.js';
import { shown } from './payload.js';

/** A finite number from a payload, scaled: value * scale + offset, rounded to 15 significant digits so that
 *  247 counts of 0.05 h are 12.35 h and not 12.350000000000001.
 *  @param limits  inclusive, in the unit after scaling; `what` names the value in the refusal
 *  @returns       the number, or why there is none: text, words, "12,5", NaN, Infinity, 1e400, an empty string, true and false */
export function readNumber(
  value: string | number | boolean,
  scaling: { readonly scale: number; readonly offset: number },
  limits: { readonly least: number; readonly most: number; readonly what: string },
): number | Refused {
  const raw =
    typeof value === 'number'
      ? value
      : typeof value === 'string' && /^[+-]?(\d{1,20}(\.\d{0,20})?|\.\d{1,20})([eE][+-]?\d{1,3})?$/.test(value)
        ? Number(value)
        : Number.NaN;
  if (Number.isNaN(raw)) return refuse(refusalCodes.unreadable, `${shown(value)} is not a number`);
  const scaled = Number((raw * scaling.scale + scaling.offset).toPrecision(15));
  if (!Number.isFinite(scaled) || scaled < limits.least || scaled > limits.most) {
    return refuse(
      refusalCodes.outOfRange,
      `${shown(value)} is no ${limits.what}: it must lie between ${sayDecimal(limits.least, 2)} and ${sayDecimal(limits.most, 2)}`,
    );
  }
  return scaled === 0 ? 0 : scaled;
}
