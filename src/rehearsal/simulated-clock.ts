import type { Clock } from '../domain/outside.js';

/** A clock that stands still until it is set. */
export interface SimulatedClock extends Clock {
  /** Never backwards. */
  set(atMs: number): void;
}

/** A clock that stands until it is set, and never goes back.
 *  @param startMs  instant, UTC */
export function simulatedClock(startMs: number): SimulatedClock {
  let nowMs = startMs;
  return {
    nowMs: () => nowMs,
    set: (atMs) => {
      nowMs = Math.max(nowMs, atMs);
    },
  };
}
