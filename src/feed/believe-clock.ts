/** What is known of the wall clock. A small computer without a battery for its clock starts in the past, and is set later. */
export interface ClockBelief {
  /** The newest instant that was kept: time does not go back behind it. */
  readonly newestMs: number;
  /** Since when the clock has been out, monotonic milliseconds; null while it is right. */
  readonly outSinceMonotonicMs: number | null;
}

/** A clock may be set back by this much without a word. */
const stepBackMs = 5_000;
/** After this long without being set, a clock is taken for right: then what was kept before was stamped by a clock that ran ahead. */
const giveInMs = 7 * 86_400_000;

/** Whether the wall clock can be believed now: not earlier than the build, nor than what was kept last.
 *  @param notBeforeMs  the day this software was built, UTC milliseconds
 *  @returns            the belief after it; `outSinceMonotonicMs` null means that `nowMs` can be believed
 *  Source: common practice, no source. */
export function judgeClock(belief: ClockBelief, nowMs: number, monotonicMs: number, notBeforeMs: number): ClockBelief {
  const isOut = nowMs < notBeforeMs || nowMs < belief.newestMs - stepBackMs;
  if (!isOut) return { newestMs: Math.max(belief.newestMs, nowMs), outSinceMonotonicMs: null };
  const outSince = belief.outSinceMonotonicMs ?? monotonicMs;
  if (nowMs >= notBeforeMs && monotonicMs - outSince >= giveInMs) return { newestMs: nowMs, outSinceMonotonicMs: null };
  return { newestMs: belief.newestMs, outSinceMonotonicMs: outSince };
}
