import type { Feed } from '../../domain/machine.js';
import type { Refused } from '../errors.js';
import { readNumber } from './number.js';
import type { PayloadValue } from './payload.js';

/** Volts at the battery, after scale and offset.
 *  @returns  volts, 0 to 100, or why there are none; machines at home have 6 to 48 V (common practice, no source) */
export function decodeVoltage(feed: Extract<Feed, { kind: 'voltage' }>, payload: PayloadValue): number | Refused {
  return readNumber(payload.value, feed, { least: 0, most: 100, what: 'battery voltage' });
}
