import type { Day } from '../domain/day.js';
import type { Facts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Climate } from '../domain/results/climate.js';
import { firstFrosts, lastFrosts } from '../forecast/frost.js';
import { usualFrost } from '../forecast/season.js';
import { withWeather } from '../forecast/weather.js';

/** The frost days and the coldest night that the look ahead reckons with, each with where it comes from.
 *  @param today  later nights are left out
 *  Source: as `withWeather`. */
export function climateOf(household: Household, facts: Facts, today: Day): Climate {
  const nights = (facts.nights ?? []).filter(({ day }) => day <= today);
  const weather = withWeather(household, nights, today);
  const usual = usualFrost[household.hemisphere];
  const { hemisphere, frost } = household;
  return {
    first: {
      monthDay: weather.frost?.first ?? usual.first,
      isNamed: frost?.first !== undefined,
      seasons: firstFrosts(nights, hemisphere).length,
    },
    last: {
      monthDay: weather.frost?.last ?? usual.last,
      isNamed: frost?.last !== undefined,
      seasons: lastFrosts(nights, hemisphere).length,
    },
    coldestCelsius: weather.coldestCelsius ?? null,
    isColdestNamed: household.coldestCelsius !== undefined,
    nights: household.temperature === undefined ? null : nights.length,
  };
}
