import { dayMs, formatInstant, hourMs, minuteMs } from '../domain/day.js';
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

/** Nothing was written down for longer than this: either the service stood still for a year, or the clock runs ahead. */
const longSilenceMs = 400 * dayMs;

/** A clock set over the network is set within minutes of a start. So long it is waited for where it seems to run ahead... */
const waitAheadMs = hourMs;

/** ...and so long where it seems to run behind: then it is taken for right, and what was written down was stamped ahead. */
const waitBehindMs = dayMs;

/** Set by more than this, a clock is waited for anew. */
const steadyMs = 5 * minuteMs;

/** Says why the wall clock cannot be believed, or null: a small computer without a battery clock boots in the past, one with a
 *  bad battery anywhere. While it is in doubt nothing is sent; counting a feed goes on. A clock that runs steadily and is not
 *  set for long enough is believed in the end, so that one wrong start never silences the service for good.
 *  @param nowMs        the wall clock
 *  @param newestFactMs when anything was last written down, or null */
type ClockGate = (nowMs: number, newestFactMs: number | null) => string | null;

/** A gate that has not looked yet.
 *  @param monotonicMs  milliseconds that only ever run forward */
export function clockGate(monotonicMs: () => number): ClockGate {
  let waiting: { readonly sinceMs: number; readonly offsetMs: number } | null = null;
  let believed: { readonly newestMs: number } | null = null;
  return (nowMs, newestFactMs) => {
    if (nowMs < earliestSaneMs) return `the clock says ${formatInstant(nowMs)}, which is before this program was made`;
    const newest = believed === null || believed.newestMs !== newestFactMs ? newestFactMs : null;
    const isBehind = newest !== null && nowMs < newest - allowedBehindMs;
    const isAhead = newest !== null && nowMs > newest + longSilenceMs;
    if (newest === null || !(isBehind || isAhead)) {
      waiting = null;
      return null;
    }
    const sinceMs = monotonicMs();
    const offsetMs = nowMs - sinceMs;
    if (waiting === null || Math.abs(offsetMs - waiting.offsetMs) > steadyMs) waiting = { sinceMs, offsetMs };
    if (sinceMs - waiting.sinceMs >= (isBehind ? waitBehindMs : waitAheadMs)) {
      waiting = null;
      believed = { newestMs: newest };
      return null;
    }
    return isBehind
      ? `the clock says ${formatInstant(nowMs)}, but something was already written down at ${formatInstant(newest)}`
      : `the clock says ${formatInstant(nowMs)}, but nothing was written down since ${formatInstant(newest)}; waiting whether it is set`;
  };
}
