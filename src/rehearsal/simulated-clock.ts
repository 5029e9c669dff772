import type { Clock } from '../domain/outside.js';

/** A clock that stands still until it is set. */
export interface SimulatedClock extends Clock {
  /** Never backwards. */
  set(atMs: number): void;
}

export function simulatedClock(startMs: number): SimulatedClock {
  let nowMs = startMs;
  return {
    nowMs: () => nowMs,
    set: (atMs) => {
      nowMs = Math.max(nowMs, atMs);
    },
  };
}
