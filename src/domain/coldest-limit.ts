import type { Household } from './household.js';
import { convert, convertDifference, parseQuantity } from './quantity.js';
import type { Measurement } from './task.js';

/** A measurement whose limit follows the cold, with that limit for this household: the coldest night less the plan's margin, to the
 *  whole degree on the cold side, in the household's units. Any other measurement comes back as it is.
 *  @param coldestCelsius  coldest night to expect, degrees Celsius; null: not known, the plan's own figure stays
 *  @throws Fault those of parseQuantity, which a checked plan never raises
 *  Source: common practice, no source; NIST SP 811 (2008) App. B.8 for the units. */
export function limitedByCold(
  measurement: Measurement,
  coldestCelsius: number | null,
  units: Household['units'],
): Measurement {
  const { specification } = measurement;
  if (specification.kind !== 'atMost' || specification.belowColdest === undefined) return measurement;
  const unit = units === 'us' ? 'F' : 'C';
  const whole = (celsius: number, round: (value: number) => number) =>
    // Rounding of the conversion must not cost a degree, and there is no minus nought.
    `${round(convert({ value: celsius, unit: 'C', dimension: 'temperature' }, unit) + 1e-9) + 0} ${unit}`;
  if (coldestCelsius === null) {
    const fixed = convert(parseQuantity(specification.max, 'temperature'), 'C');
    return { ...measurement, specification: { ...specification, max: whole(fixed, Math.floor) } };
  }
  const margin = convertDifference(parseQuantity(specification.belowColdest, 'temperature', 'C'), 'C');
  return {
    ...measurement,
    specification: {
      ...specification,
      max: whole(coldestCelsius - margin, Math.floor),
      coldest: whole(coldestCelsius, Math.round),
    },
  };
}
