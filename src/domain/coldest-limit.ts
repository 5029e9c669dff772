import type { Household } from './household.js';
import { convert, convertDifference, parseQuantity } from './quantity.js';
import type { Measurement, Task } from './task.js';

/** Tasks with every limit that follows the cold where this household's coldest night puts it.
 *  @param coldestCelsius  coldest night to expect, degrees Celsius; null: not known, the plan's own figures stay
 *  @throws Fault those of parseQuantity, which a checked plan never raises
 *  Source: common practice, no source. */
export function tasksLimitedByCold<T extends Pick<Task, 'measure'>>(
  tasks: readonly T[],
  coldestCelsius: number | null,
  units: Household['units'],
): T[] {
  return tasks.map((task) => ({
    ...task,
    measure: task.measure.map((measurement) => limitedByCold(measurement, coldestCelsius, units)),
  }));
}

/** A measurement whose limit follows the cold, with that limit for this household: the coldest night less the plan's margin, to the
 *  whole degree on the cold side, in the household's units. Of a range it is the warm end, and it stops at the cold end, which does not
 *  move. Any other measurement comes back as it is.
 *  @param coldestCelsius  coldest night to expect, degrees Celsius; null: not known, the plan's own figure stays
 *  @throws Fault those of parseQuantity, which a checked plan never raises
 *  Source: common practice, no source; NIST SP 811 (2008) App. B.8 for the units. */
export function limitedByCold(
  measurement: Measurement,
  coldestCelsius: number | null,
  units: Household['units'],
): Measurement {
  const { specification } = measurement;
  if (specification.kind !== 'atMost' && specification.kind !== 'range') return measurement;
  if (specification.belowColdest === undefined) return measurement;
  const unit = units === 'us' ? 'F' : 'C';
  const inUnit = (celsius: number) => convert({ value: celsius, unit: 'C', dimension: 'temperature' }, unit);
  const celsiusOf = (text: string) => convert(parseQuantity(text, 'temperature'), 'C');
  const say = (degrees: number) => `${degrees} ${unit}`;
  const margin = convertDifference(parseQuantity(specification.belowColdest, 'temperature', 'C'), 'C');
  const limit = floor(inUnit(coldestCelsius === null ? celsiusOf(specification.max) : coldestCelsius - margin));
  const coldest = coldestCelsius === null ? {} : { coldest: say(round(inUnit(coldestCelsius))) };
  if (specification.kind === 'atMost') {
    return { ...measurement, specification: { ...specification, max: say(limit), ...coldest } };
  }
  const coldEnd = ceil(inUnit(celsiusOf(specification.min)));
  const warmEnd = Math.max(coldEnd, limit);
  const { aim, ...rest } = measurement;
  const isAimWithin = aim !== undefined && inUnit(celsiusOf(aim)) <= warmEnd;
  return {
    ...rest,
    // A value to aim for that would not protect here is no help.
    ...(isAimWithin ? { aim } : {}),
    specification: {
      ...specification,
      min: say(coldEnd),
      max: say(warmEnd),
      ...coldest,
      ...(coldestCelsius !== null && limit < coldEnd ? { wanted: say(limit) } : {}),
    },
  };
}

/** Rounding of a conversion must not cost a degree, and there is no minus nought. */
const slack = 1e-9;
const floor = (value: number) => Math.floor(value + slack) + 0;
const ceil = (value: number) => Math.ceil(value - slack) + 0;
const round = (value: number) => Math.round(value + slack) + 0;
