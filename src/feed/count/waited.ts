import type { Delivered } from '../../broker/connection.js';
import { elapsedMs, type Moment } from './moment.js';

/** How a message came: as the broker says, and whether it may have waited for us. */
export interface Arrival extends Omit<Delivered, 'qos'> {
  /** It may have been said while we could not hear it: when it was said, only the device's own time can tell. */
  readonly isWaited: boolean;
}

/** A connection that came back after it was lost, and what a feed said since. */
export interface BackAgain {
  readonly connectedAt: Moment;
  /** The last message that may have waited; null before the first. */
  readonly lastAt: Moment | null;
}

/** A sensor that lost the broker as well comes back within this, and says then what it kept. Common practice, no source. */
const backWithinMs = 120_000;
/** What waited comes in one go: after a pause this long, what comes is said now. Common practice, no source. */
const pauseMs = 5_000;

/** Whether a message that comes now may have waited at the broker, or in the sensor, while the connection was lost.
 *  @param back  null where nothing was lost, or where all that waited has come
 *  @returns     `back` for the next message
 *  Source: the counting rules of the feed, our own. */
export function mayHaveWaited(
  back: BackAgain | null,
  now: Moment,
): { readonly isWaited: boolean; readonly back: BackAgain | null } {
  if (back === null) return { isWaited: false, back };
  const isSoon = isWithin(back.connectedAt, now, backWithinMs);
  const isWaited = isSoon && (back.lastAt === null || isWithin(back.lastAt, now, pauseMs));
  return { isWaited, back: isWaited ? { ...back, lastAt: now } : null };
}

function isWithin(from: Moment, to: Moment, limitMs: number): boolean {
  const elapsed = elapsedMs(from, to);
  return elapsed !== null && elapsed <= limitMs;
}
