import { type Day, dayOf, timeOfDayAt, type Zone } from '../domain/day.js';
import type { SensorHeard } from '../domain/feed-silence.js';
import type { Spread } from '../domain/results/due.js';
import { sayDay } from './dates.js';

/** What a sensor counts in an hour of the meter, with its doubt: `The sensor counts 1.18 h per meter hour (1.12 to 1.24).`
 *  @param ratio  hours of the sensor per hour of the meter, finite, p10 <= p50 <= p90 (eight chances in ten lie between the ends)
 *  Source: common practice, no source. */
export function saySensorRatio(ratio: Spread<number>): string {
  return `The sensor counts ${ratio.p50.toFixed(2)} h per meter hour (${ratio.p10.toFixed(2)} to ${ratio.p90.toFixed(2)}).`;
}

/** Why the hours are estimated although there is a sensor; null while it is heard.
 *  @param today   the household's day
 *  @param zone    of the household, in which the time is said
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function saySensorSilence(heard: SensorHeard, today: Day, zone: Zone, locale: string): string | null {
  if (heard.kind === 'heard') return null;
  if (heard.kind === 'never') return 'The sensor has not been heard yet; until it is, the hours are estimated.';
  const day = dayOf(heard.sinceMs, zone);
  const time = timeOfDayAt(heard.sinceMs, zone);
  const since = day === today ? `${time} today` : `${sayDay(day, today, locale)}, ${time}`;
  return `The sensor has been silent since ${since}; hours since then are estimated.`;
}
