import type { Household } from '../domain/household.js';
import { convert, convertDifference, parseQuantity, type Quantity } from '../domain/quantity.js';
import type { Specification } from '../domain/specification.js';
import { unitOfTools } from '../domain/us-units.js';
import { sayLimits, sayNumber } from './say-limits.js';

/** As near as such a tool is read. */
const figures = 3;

/** The limits in words, for a US household with the same in its own units beside them: `set to 90 N m (66.4 lbf ft), crosswise`,
 *  `10 to 13 mm (0.394 to 0.512 in)`. What has no such unit is said as `sayLimits` does; so is what is judged by a table or by
 *  eye. The plan's own figures stay first: verdicts are about them.
 *  @throws Fault as `sayLimits` and `parseQuantity`
 *  Source: NIST SP 811 (2008) App. B.8 in domain/quantity; three figures are common practice, no source. */
export function sayLimitsIn(specification: Specification, units: Household['units']): string {
  const said = sayLimits(specification);
  if (units === 'metric') return said;
  switch (specification.kind) {
    case 'setTo': {
      const beside = sayBeside(specification.value);
      return beside === null ? said : sayLimits({ ...specification, value: `${specification.value} (${beside})` });
    }
    case 'atLeast':
      return withBeside(said, sayBeside(specification.min));
    case 'atMost':
      return specification.belowColdest === undefined ? withBeside(said, sayBeside(specification.max)) : said;
    case 'range': {
      if (specification.belowColdest !== undefined) return said;
      const min = sayBeside(specification.min);
      const max = sayBeside(specification.max);
      return withBeside(said, min === null || max === null ? null : sayFromTo(min, max));
    }
    case 'nominal': {
      const nominal = sayBeside(specification.nominal);
      const isShare = parseQuantity(specification.tolerance).dimension === 'ratio';
      const tolerance = isShare ? specification.tolerance : sayBeside(specification.tolerance, convertDifference);
      return withBeside(said, nominal === null || tolerance === null ? null : `${nominal} ± ${tolerance}`);
    }
    case 'difference': {
      const { min, max } = specification;
      const besideMin = min === undefined ? null : sayBeside(min, convertDifference);
      const besideMax = max === undefined ? null : sayBeside(max, convertDifference);
      if (min !== undefined && max !== undefined) {
        return withBeside(said, besideMin === null || besideMax === null ? null : sayFromTo(besideMin, besideMax));
      }
      return withBeside(said, besideMin ?? besideMax);
    }
    default:
      return said;
  }
}

/** `0.394 to 0.512 in`. */
function sayFromTo(min: string, max: string): string {
  return `${min.replace(/ [a-z ]+$/, '')} to ${max}`;
}

/** What a US jug or scale is marked in, where that is no tool to measure with. */
const usAmounts: Readonly<Record<string, string>> = { mL: 'US fl oz', kg: 'lb', g: 'oz' };

/** An amount to fill in as the plan writes it, for a US household with the same in its own units beside it: `17 L (18 US qt)`.
 *  @throws Fault as `parseQuantity`
 *  Source: as `sayLimitsIn`. */
export function sayAmountIn(amount: string, units: Household['units']): string {
  if (units === 'metric') return amount;
  const quantity = parseQuantity(amount);
  const unit = usAmounts[quantity.unit] ?? unitOfTools(quantity.unit, units);
  return unit === quantity.unit ? amount : withBeside(amount, sayFigures(convert(quantity, unit), unit));
}

/** `66.4 lbf ft`. */
function sayFigures(value: number, unit: string): string {
  return `${sayNumber(Number(value.toPrecision(figures)))} ${unit}`;
}

function withBeside(said: string, beside: string | null): string {
  return beside === null ? said : `${said} (${beside})`;
}

/** `66.4 lbf ft` for `90 N m`; null where the unit is one of theirs already, or has no other. */
function sayBeside(text: string, into: (quantity: Quantity, unit: string) => number = convert): string | null {
  const quantity = parseQuantity(text);
  const unit = unitOfTools(quantity.unit, 'us');
  return unit === quantity.unit ? null : sayFigures(into(quantity, unit), unit);
}
