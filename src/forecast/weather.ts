import { coldestNight } from '../domain/coldest-night.js';
import type { Day } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import { firstFrosts, lastFrosts, mixFrost } from './frost.js';
import { usualFrost } from './season.js';

/** Seasons that the household's own word counts for beside those seen, and the almanac's. Common practice, no source. */
const ownWeight = 3;
const almanacWeight = 1;
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
  const coldest = coldestNight(household, known);
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
