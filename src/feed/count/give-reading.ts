import type { FeedState } from '../state.js';

/** A reading at most this often while the meter rises, and once a day while it stands: enough for any forecast, little for a card. */
const risingMs = 30 * 60_000;
const standingMs = 24 * 3_600_000;

/** The reading that a meter-hours feed has to hand out now, if any.
 *  @param atMs   when the meter was seen to stand there, UTC milliseconds; null while the clock cannot be believed
 *  @param isLast whether nothing more comes for a while (the sensor fell silent, or the service stops): then a rise is not held back
 *  @returns      hours and instant, or null; other kinds give none */
export function readingToGive(
  state: FeedState,
  atMs: number | null,
  isLast: boolean,
): { readonly hours: number; readonly atMs: number } | null {
  if (state.counting.kind !== 'meter-hours' || atMs === null) return null;
  const hours = state.counting.lastHours;
  if (hours === null) return null;
  if (state.given === null) return { hours, atMs };
  const sinceMs = atMs - state.given.atMs;
  if (sinceMs <= 0) return null;
  const isRisen = hours > state.given.hours;
  return (isRisen && (isLast || sinceMs >= risingMs)) || sinceMs >= standingMs ? { hours, atMs } : null;
}
