import type { Span } from '../../domain/facts.js';
import { elapsedMs, type Moment } from './moment.js';

/** While the feed is alive: from the first sign of life to the last. Lives in memory; a crash may shorten it. */
export interface Covering {
  readonly open: Span | null;
  readonly last: Moment | null;
}

export const notCovered: Covering = { open: null, last: null };

/** Wall and monotonic clock may drift apart by this much between two messages before the wall clock counts as set anew. */
const jumpMs = 2_000;

/** A sign of life now. A silence longer than `silentAfterMs`, a clock that is not believable, and a clock that was set in between end
 *  the coverage at the sign before.
 *  @returns  the new covering, and the span that ended, if any */
export function coverSign(
  covering: Covering,
  now: Moment,
  silentAfterMs: number,
): { readonly covering: Covering; readonly closed: Span | null } {
  if (!now.believable) return { covering: { open: null, last: now }, closed: covering.open };
  const goesOn =
    covering.open !== null &&
    covering.last !== null &&
    now.atMs >= covering.open.toMs &&
    !isSilent(covering.last, now, silentAfterMs) &&
    Math.abs(now.atMs - covering.last.atMs - (now.monotonicMs - covering.last.monotonicMs)) <= jumpMs;
  return goesOn && covering.open !== null
    ? { covering: { open: { fromMs: covering.open.fromMs, toMs: now.atMs }, last: now }, closed: null }
    : { covering: { open: { fromMs: now.atMs, toMs: now.atMs }, last: now }, closed: covering.open };
}

/** The sensor is gone, or was silent too long: coverage ended with the last sign of life. */
export function endCoverage(covering: Covering): { readonly covering: Covering; readonly closed: Span | null } {
  return { covering: notCovered, closed: covering.open };
}

/** Whether more than `silentAfterMs` passed; unknown counts as silence. */
export function isSilent(last: Moment, now: Moment, silentAfterMs: number): boolean {
  const elapsed = elapsedMs(last, now);
  return elapsed === null || elapsed > silentAfterMs;
}
