import type { Household } from './household.js';
import { convert, parseQuantity } from './quantity.js';

/** What a US wrench, gauge, rule or can is marked in, by the unit that a plan names. */
const usUnits: Readonly<Record<string, string>> = {
  'N m': 'lbf ft',
  kPa: 'psi',
  bar: 'psi',
  mm: 'in',
  cm: 'in',
  N: 'lbf',
  L: 'US qt',
};

/** As near as one pours. */
const figures = 2;

/** An amount of a fluid as the household's own cans and scales show it, with the plan's beside it: `4 US qt (3.8 L)`; less than half
 *  a quart in fluid ounces. `unit` is the one that stands first, and what a bare number beside it means.
 *  @param amount  as a plan names it, a bare number is litres
 *  @throws Fault as parseQuantity
 *  Source: NIST SP 811 (2008) App. B.8 in domain/quantity; two figures are common practice, no source. */
export function amountOfTools(
  amount: string,
  units: Household['units'],
): { readonly said: string; readonly unit: string } {
  const quantity = parseQuantity(amount, undefined, 'L');
  const large = quantity.unit === 'kg' ? 'lb' : unitOfTools(quantity.unit, 'us');
  if (units === 'metric' || large === quantity.unit) return { said: amount, unit: quantity.unit };
  const unit = large === 'US qt' && convert(quantity, large) < 0.5 ? 'US fl oz' : large;
  return { said: `${Number(convert(quantity, unit).toPrecision(figures))} ${unit} (${amount})`, unit };
}

/** The unit that this household's own tools show for what a plan says in another.
 *  @param unit  a unit of domain/quantity
 *  @returns     the same unit where they show that, or have no other
 *  Source: common practice, no source. */
export function unitOfTools(unit: string, units: Household['units']): string {
  return units === 'us' ? (usUnits[unit] ?? unit) : unit;
}
