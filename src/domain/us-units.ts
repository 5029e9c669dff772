import type { Household } from './household.js';

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

/** The unit that this household's own tools show for what a plan says in another.
 *  @param unit  a unit of domain/quantity
 *  @returns     the same unit where they show that, or have no other
 *  Source: common practice, no source. */
export function unitOfTools(unit: string, units: Household['units']): string {
  return units === 'us' ? (usUnits[unit] ?? unit) : unit;
}
