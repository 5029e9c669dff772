/** When a message arrived, by both clocks of this process. Kept with the state, so it is compared across restarts too. */
export interface Moment {
  /** Wall clock, UTC milliseconds. */
  readonly atMs: number;
  /** Milliseconds since this process started, by a clock that never jumps. */
  readonly monotonicMs: number;
  /** Differs for each start of the process: monotonic times compare only within one. */
  readonly boot: string;
  /** Whether the wall clock could be believed then. */
  readonly believable: boolean;
}

/** Milliseconds from one moment to a later one: by the monotonic clock within one process, else by the wall clock where both were
 *  believable, else null. Never negative. */
export function elapsedMs(from: Moment, to: Moment): number | null {
  if (from.boot === to.boot) return Math.max(0, to.monotonicMs - from.monotonicMs);
  return wallMs(from, to);
}

/** The most that can have passed: the longer of both clocks (a computer's sleep stops the monotonic one).
 *  @returns  milliseconds, >= 0; Infinity where nobody knows */
export function mostElapsedMs(from: Moment, to: Moment): number {
  const wall = wallMs(from, to);
  if (from.boot === to.boot) return Math.max(0, to.monotonicMs - from.monotonicMs, wall ?? 0);
  return wall ?? Number.POSITIVE_INFINITY;
}

/** The least that must have passed: the monotonic clock, else the wall clock, else what this process has been running.
 *  @returns  milliseconds, >= 0 */
export function leastElapsedMs(from: Moment, to: Moment): number {
  return elapsedMs(from, to) ?? Math.max(0, to.monotonicMs);
}

function wallMs(from: Moment, to: Moment): number | null {
  return from.believable && to.believable && to.atMs >= from.atMs ? to.atMs - from.atMs : null;
}
