import { dayMs, formatInstant } from '../domain/day.js';
import type { Clock } from '../domain/outside.js';

/** The computer's own clock, shifted where `--now` said so: time flows on from there. */
export function systemClock(startAtMs?: number): Clock {
  const shiftMs = startAtMs === undefined ? 0 : startAtMs - Date.now();
  return { nowMs: () => Date.now() + shiftMs };
}

/** No release is older than this: a clock before it has not been set yet. */
export const earliestSaneMs = Date.UTC(2026, 0, 1);

/** Facts stamped a little ahead are rounding, not a wrong clock. */
const allowedBehindMs = dayMs;

/** Why the wall clock cannot be believed, or null: a small computer without a battery clock boots in the past.
 *  While it is in doubt nothing is sent and nothing is forecast; counting a feed goes on.
 *  @param nowMs        the wall clock
 *  @param newestFactMs newest instant in the store that is not after the clock's own last good value, or null */
export function clockDoubt(nowMs: number, newestFactMs: number | null): string | null {
  if (nowMs < earliestSaneMs) return `the clock says ${formatInstant(nowMs)}, which is before this program was made`;
  if (newestFactMs !== null && nowMs < newestFactMs - allowedBehindMs) {
    return `the clock says ${formatInstant(nowMs)}, but something was already written down at ${formatInstant(newestFactMs)}`;
  }
  return null;
}
