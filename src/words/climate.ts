import type { Household } from '../domain/household.js';
import type { Climate, FrostDay } from '../domain/results/climate.js';
import { sayCount } from './counts.js';
import { sayMonthDay } from './due.js';
import { sayTemperature } from './temperature.js';

/** What is reckoned with of the winter and where it comes from, a sentence each: first frost, last frost, coldest night.
 *  Source: common practice, no source. */
export function sayClimate(
  climate: Climate,
  { units, locale }: Pick<Household, 'units' | 'locale'>,
): readonly string[] {
  return [sayFrost('first', climate.first, locale), sayFrost('last', climate.last, locale), sayColdest(climate, units)];
}

/** An average frost day and where it comes from.
 *  @param locale  as `sayMonthDay`
 *  Source: common practice, no source. */
export function sayFrost(which: 'first' | 'last', { monthDay, isNamed, seasons }: FrostDay, locale: string): string {
  const season = which === 'first' ? 'autumn' : 'spring';
  const word = isNamed ? 'household.yaml says so' : 'household.yaml names none, so the almanac’s day stands in';
  const seen = seasons === 0 ? '' : `, mixed with ${sayCount(seasons, season)} of the thermometer`;
  return `The average ${which} frost is reckoned for ${sayMonthDay(monthDay, locale)}: ${word}${seen}.`;
}

function sayColdest({ coldestCelsius, isColdestNamed, nights }: Climate, units: Household['units']): string {
  if (coldestCelsius !== null) {
    const from = isColdestNamed
      ? 'household.yaml says so'
      : `learnt from ${sayCount(nights ?? 0, 'night')} of the thermometer`;
    return `The coldest night is reckoned with at ${sayTemperature(coldestCelsius, units)}: ${from}.`;
  }
  const soFar =
    nights === null
      ? 'no thermometer is set'
      : `the thermometer has told of ${sayCount(nights, 'night')}, which is less than a year’s`;
  return `How cold it gets is not known: household.yaml names no coldest night, and ${soFar}.`;
}
