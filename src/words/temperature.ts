import type { Household } from '../domain/household.js';
import { convert } from '../domain/quantity.js';
import { sayDecimal } from './counts.js';

/** A temperature in the household's units: `−5 °C`, `23 °F (−5 °C)`.
 *  @param celsius  finite
 *  Source: NIST SP 811 (2008) App. B.8 in domain/quantity. */
export function sayTemperature(celsius: number, units: Household['units']): string {
  const metric = `${sayDecimal(celsius, 1)} °C`;
  if (units === 'metric') return metric;
  const fahrenheit = convert({ value: celsius, unit: 'C', dimension: 'temperature' }, 'F');
  return `${sayDecimal(fahrenheit, 0)} °F (${metric})`;
}
