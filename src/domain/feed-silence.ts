import { minuteMs } from './day.js';
import type { FeedTotal } from './facts.js';
import type { Machine } from './machine.js';

/** Signs of life are written down at most this much later than they came, so that a memory card lives for years. */
const writtenAfterMs = 6 * minuteMs;

/** Whether a run-time sensor is heard: longer silence than the feed's `silentAfter` (and the time until it is written down) means that
 *  the hours since then are estimated, never taken for zero. One that said that it goes, or whose last will did, is silent at once.
 *  @param feed   what was counted; null where nothing was heard yet
 *  @param nowMs  UTC milliseconds
 *  @returns      `since` is the last sign of life; null for a machine that has no sensor or is gone
 *  Source: the counting rules of the feed, our own. */
export function hearSensor(
  machine: Pick<Machine, 'feed' | 'gone'>,
  feed: FeedTotal | null,
  nowMs: number,
): SensorHeard | null {
  if (machine.feed === undefined || machine.gone) return null;
  if (feed === null || feed.lastAtMs === null) return { kind: 'never' };
  if (feed.isAway === true) return { kind: 'silent', sinceMs: feed.lastAtMs };
  const isHeard = nowMs - feed.lastAtMs <= machine.feed.silentAfterMinutes * minuteMs + writtenAfterMs;
  return isHeard ? { kind: 'heard' } : { kind: 'silent', sinceMs: feed.lastAtMs };
}

/** What is known of a sensor at a moment. */
export type SensorHeard =
  | { readonly kind: 'heard' }
  | { readonly kind: 'never' }
  | { readonly kind: 'silent'; readonly sinceMs: number };
