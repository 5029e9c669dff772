import type { Feed } from '../../domain/machine.js';
import type { Refused } from '../errors.js';
import { mostHours } from './meter-hours.js';
import { readNumber } from './number.js';
import type { PayloadValue } from './payload.js';

/** Run-seconds on the sensor's counter, after scale and offset.
 *  @returns  seconds, 0 to `mostHours` hours, or why there are none */
export function decodeRunSeconds(
  feed: Extract<Feed, { kind: 'run-seconds' }>,
  payload: PayloadValue,
): number | Refused {
  return readNumber(payload.value, feed, { least: 0, most: mostHours * 3600, what: 'count of seconds' });
}
