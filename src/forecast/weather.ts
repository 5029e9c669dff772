import { type Day, dayNumber } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import { firstFrosts, lastFrosts, mixFrost } from './frost.js';
import { usualFrost } from './season.js';

/** Seasons that the household's own word counts for beside those seen, and the almanac's. Common practice, no source. */
const ownWeight = 3;
const almanacWeight = 1;
/** Nights that make a winter known. Common practice, no source. */
const wholeYear = 330;
/** Taken off the coldest night seen while fewer than `fewYears` are known, kelvin: the next winter may well be colder. Common practice, no source. */
const margin = 3;
const fewYears = 5;

/** The household with what its thermometer taught: average frost days mixed from its own word and the seasons seen, the coldest
 *  night where it names none, and the nights themselves for rules that wait for the cold.
 *  @param nights  ascending by day; [] gives the household as it is
 *  @param today   later nights are left out
 *  Source: frost days by the method of NOAA/NCEI (`frost`); the mixing common practice, no source. */
export function withWeather(household: Household, nights: readonly Night[], today: Day): Household {
  const known = nights.filter(({ day }) => day <= today);
  if (known.length === 0) return household;
  const { hemisphere, frost } = household;
  const usual = usualFrost[hemisphere];
  const weight = (own: string | undefined) => (own === undefined ? almanacWeight : ownWeight);
  const coldest = household.coldestCelsius ?? coldestOf(known);
  return {
    ...household,
    frost: {
      first: mixFrost(frost?.first ?? usual.first, weight(frost?.first), firstFrosts(known, hemisphere), hemisphere),
      last: mixFrost(frost?.last ?? usual.last, weight(frost?.last), lastFrosts(known, hemisphere), hemisphere),
    },
    ...(coldest === null ? {} : { coldestCelsius: coldest }),
    nights: known,
  };
}

function coldestOf(nights: readonly Night[]): number | null {
  const [first, last] = [nights[0], nights.at(-1)];
  if (first === undefined || last === undefined || nights.length < wholeYear) return null;
  const years = (dayNumber(last.day) - dayNumber(first.day)) / wholeYear;
  const coldest = nights.reduce((least, { celsius }) => Math.min(least, celsius), Number.POSITIVE_INFINITY);
  return coldest - (years < fewYears ? margin : 0);
}
