import type { Day } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { WhySeason } from '../domain/results/why.js';
import { sayFrost } from './climate.js';
import { sayCount } from './counts.js';
import { sayDate } from './dates.js';
import { sayTemperature } from './temperature.js';

/** Which frost day a season's day counts from, where that comes from, the day by it, and the cold night that came sooner.
 *  @param season  from outlook/explain-season
 *  Source: common practice, no source. */
export function sayWhySeason(
  season: WhySeason,
  today: Day,
  { locale, units }: Pick<Household, 'locale' | 'units'>,
): readonly string[] {
  const { rule, frost, day, soonerNight } = season;
  const date = (one: Day) => sayDate(one, today, locale);
  const said: string[] = [];
  if (frost !== null) {
    said.push(sayFrost(rule.before === 'first-frost' ? 'first' : 'last', frost, locale));
    if (rule.days > 0) said.push(`${sayCount(rule.days, 'day')} before that is ${date(day)}.`);
  }
  if (soonerNight !== null) {
    said.push(
      `The night of ${date(soonerNight.day)} came sooner, with ${sayTemperature(soonerNight.celsius, units)}: its day counts instead of ${date(day)}.`,
    );
  }
  return said;
}
