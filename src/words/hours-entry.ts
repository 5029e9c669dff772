import type { Day } from '../domain/day.js';
import { dayOf, timeOfDayAt, type Zone } from '../domain/day.js';
import type { HoursEntry } from '../domain/facts.js';
import { sayDate, sayMinutes } from './dates.js';
import { sayReadHours } from './hours.js';

/** What was told of a machine's hours, within a sentence: `641.2 h, 3 March at 10:14`, `a run of 40 min, 3 March at 10:14`,
 *  `not used from 1 February to 3 March`.
 *  @param entry   counted or taken back: that is said elsewhere
 *  @param locale  BCP 47, says the order of day and month
 *  Source: common practice, no source. */
export function sayHoursEntry(entry: HoursEntry, today: Day, zone: Zone, locale: string): string {
  const day = sayDate(dayOf(entry.atMs, zone), today, locale);
  const moment = `${day} at ${timeOfDayAt(entry.atMs, zone)}`;
  switch (entry.kind) {
    case 'reading':
      return `${sayReadHours(entry.hours)}, ${moment}`;
    case 'run':
      return `a run of ${sayMinutes(entry.minutes)}, ${moment}`;
    case 'not-used':
      return `not used from ${sayDate(dayOf(entry.sinceMs, zone), today, locale)} to ${day}`;
  }
}
