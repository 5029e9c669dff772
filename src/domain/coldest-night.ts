import { dayNumber } from './day.js';
import type { Household } from './household.js';
import type { Night } from './night.js';

/** Nights that make a winter known. Common practice, no source. */
const wholeYear = 330;
/** Taken off the coldest night seen while fewer than `fewYears` are known, kelvin: the next winter may well be colder. Common practice, no source. */
const margin = 3;
const fewYears = 5;

/** The coldest night to expect: the household's word, else what its thermometer saw, with a margin while few years are known.
 *  @param nights  ascending by day
 *  @returns degrees Celsius; null where nobody named one and no whole year of nights is known
 *  Source: common practice, no source. */
export function coldestNight(
  { coldestCelsius }: Pick<Household, 'coldestCelsius'>,
  nights: readonly Night[],
): number | null {
  if (coldestCelsius !== undefined) return coldestCelsius;
  const [first, last] = [nights[0], nights.at(-1)];
  if (first === undefined || last === undefined || nights.length < wholeYear) return null;
  const years = (dayNumber(last.day) - dayNumber(first.day)) / wholeYear;
  const coldest = nights.reduce((least, { celsius }) => Math.min(least, celsius), Number.POSITIVE_INFINITY);
  return coldest - (years < fewYears ? margin : 0);
}
