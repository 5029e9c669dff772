import type { Zone } from '../../domain/day.js';
import type { Feed } from '../../domain/machine.js';
import { type Refused, refuse } from '../errors.js';
import { decodeMeterHours } from './meter-hours.js';
import { type PayloadValue, pointerHint, readPayload } from './payload.js';
import { decodeRunSeconds } from './run-seconds.js';
import { decodeRunning } from './running.js';
import { decodeVoltage } from './voltage.js';

/** What a message says, in the unit of its feed's kind: yes or no, seconds, hours, volts. */
export type Said =
  | { readonly kind: 'running'; readonly isRunning: boolean; readonly deviceAtMs: number | null }
  | { readonly kind: 'run-seconds'; readonly seconds: number; readonly deviceAtMs: number | null }
  | { readonly kind: 'meter-hours'; readonly hours: number; readonly deviceAtMs: number | null }
  | { readonly kind: 'voltage'; readonly volts: number; readonly deviceAtMs: number | null };

/** A payload as the feed's configuration says to read it; never throws.
 *  @param zone  for a device time without an offset
 *  @returns     what it says, or why it says nothing, in plain words */
export function decode(feed: Feed, payload: Uint8Array, zone: Zone): Said | Refused {
  const read = readPayload(payload, feed, zone);
  if (read.kind === 'refused') return read;
  const said = decodeValue(feed, read);
  const isAsItStands = feed.pointer === undefined && feed.timePointer === undefined;
  if (said.kind !== 'refused' || !isAsItStands) return said;
  return refuse(said.code, `${said.reason}${pointerHint(String(read.value))}`);
}

function decodeValue(feed: Feed, read: PayloadValue): Said | Refused {
  const { deviceAtMs } = read;
  switch (feed.kind) {
    case 'running': {
      const isRunning = decodeRunning(feed, read);
      return typeof isRunning === 'boolean' ? { kind: 'running', isRunning, deviceAtMs } : isRunning;
    }
    case 'run-seconds': {
      const seconds = decodeRunSeconds(feed, read);
      return typeof seconds === 'number' ? { kind: 'run-seconds', seconds, deviceAtMs } : seconds;
    }
    case 'meter-hours': {
      const hours = decodeMeterHours(feed, read);
      return typeof hours === 'number' ? { kind: 'meter-hours', hours, deviceAtMs } : hours;
    }
    case 'voltage': {
      const volts = decodeVoltage(feed, read);
      return typeof volts === 'number' ? { kind: 'voltage', volts, deviceAtMs } : volts;
    }
  }
}
