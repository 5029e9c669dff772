import type { Feed } from '../../domain/machine.js';
import type { Refused } from '../errors.js';
import { readNumber } from './number.js';
import type { PayloadValue } from './payload.js';

/** The most hours that a message can carry; raw values above it are status codes ("error", "not available"), not hours.
 *  Source: SAE J1939-71, SPN 247, 0.05 h per bit, valid to FAFFFFFF hexadecimal. */
export const mostHours = 210_554_060.75;

/** Hours on the meter, after scale and offset.
 *  @returns  hours, 0 to `mostHours`, or why there are none */
export function decodeMeterHours(
  feed: Extract<Feed, { kind: 'meter-hours' }>,
  payload: PayloadValue,
): number | Refused {
  return readNumber(payload.value, feed, { least: 0, most: mostHours, what: 'hour meter' });
}
