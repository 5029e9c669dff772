import type { Random } from '../domain/outside.js';

/** Shortest and longest wait before the next attempt to connect, milliseconds. */
export interface Pace {
  readonly leastMs: number;
  readonly mostMs: number;
}

/** 1 to 60 s: soon enough after a router's restart, rare enough for a broker that is away for days. Common practice, no source. */
export const usualPace: Pace = { leastMs: 1_000, mostMs: 60_000 };

/** Wait before attempt number `attempt`: between half of a doubling step and all of it, so that many clients do not come back at once.
 *  min(most, least * 2^attempt) * (1/2 + random/2), never below `leastMs`.
 *  @param attempt  0 for the first after a good connection; whole, >= 0; large numbers give `mostMs` at the longest
 *  @param random   uniform in [0, 1)
 *  @returns        milliseconds, whole, from `leastMs` to `mostMs`
 *  Source: common practice, no source. */
export function waitBeforeAttempt(attempt: number, random: Random, pace: Pace = usualPace): number {
  const step = Math.min(pace.mostMs, pace.leastMs * 2 ** Math.min(attempt, 30));
  return Math.max(pace.leastMs, Math.round(step * (0.5 + random() / 2)));
}
