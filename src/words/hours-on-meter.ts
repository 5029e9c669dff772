import type { Meter } from '../domain/machine.js';
import { sayHours } from './hours.js';

/** Hours of the meter in use, which reckoning carries below its beginning where an older meter was in use: those are told as
 *  that meter showed them, `1,195 h on the meter before`, because no meter shows `−226 h`.
 *  @param hours  finite, as `carryHours` gives them
 *  @param meter  its changes in any order; none gives the hours as they stand
 *  @param say    how a number of hours is told
 *  Source: common practice, no source. */
export function sayHoursOnMeter(hours: number, meter: Meter, say: (hours: number) => string = sayHours): string {
  let shown = hours;
  let metersBack = 0;
  for (const change of newestFirst(meter)) {
    if (shown >= change.firstHours) break;
    shown += change.lastHours - change.firstHours;
    metersBack += 1;
  }
  return `${say(shown)}${['', ' on the meter before'][metersBack] ?? ' on an earlier meter'}`;
}

/** Whether these hours were shown by a meter that is no longer in use.
 *  @param hours  finite, as `carryHours` gives them
 *  Source: common practice, no source. */
export function isOnEarlierMeter(hours: number, meter: Meter): boolean {
  const newest = newestFirst(meter)[0];
  return newest !== undefined && hours < newest.firstHours;
}

function newestFirst(meter: Meter) {
  return meter.kind === 'none' ? [] : [...meter.changes].sort((a, b) => b.atMs - a.atMs);
}
