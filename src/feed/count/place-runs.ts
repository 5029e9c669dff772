import type { Span } from '../../domain/facts.js';

/** Where counted run time stands in time: the run that may still grow, and what waits for a believable clock. */
export interface Placing {
  readonly open: Span | null;
  /** No run begins before this: the end of the one before. */
  readonly floorMs: number | null;
  /** Counted, but not yet placed, because the clock was wrong or there was no room since the run before; milliseconds. */
  readonly unplacedMs: number;
}

export const nothingPlaced: Placing = { open: null, floorMs: null, unplacedMs: 0 };

/** Pauses shorter than this do not end a run: one row a run, not one a message. Common practice, no source. */
const joinMs = 120_000;

/** Adds `countedMs` of running that ended at `endMs`. The open run grows by exactly that much: at its end where there is room, else
 *  backwards (a backlog that arrives at once), so that the lengths of all runs add up to what was counted; what finds no room waits for
 *  the next idle time.
 *  @param endMs  UTC milliseconds; null while the clock cannot be believed: the time is kept and placed with the next that can
 *  @returns      the new placing, and the run that this one closed, if any */
export function placeRun(
  placing: Placing,
  countedMs: number,
  endMs: number | null,
): { readonly placing: Placing; readonly closed: Span | null } {
  if (endMs === null) return { placing: { ...placing, unplacedMs: placing.unplacedMs + countedMs }, closed: null };
  const lengthMs = countedMs + placing.unplacedMs;
  if (lengthMs <= 0) return { placing, closed: null };
  const { open } = placing;
  if (open !== null && endMs - (open.toMs + lengthMs) <= joinMs) {
    const toMs = Math.max(open.toMs, Math.min(open.toMs + lengthMs, endMs));
    const backMs = lengthMs - (toMs - open.toMs);
    const fromMs = Math.min(open.fromMs, notBefore(placing.floorMs, open.fromMs - backMs));
    const unplacedMs = backMs - (open.fromMs - fromMs);
    const isAsBefore = unplacedMs === placing.unplacedMs && fromMs === open.fromMs && toMs === open.toMs;
    return { placing: isAsBefore ? placing : { ...placing, open: { fromMs, toMs }, unplacedMs }, closed: null };
  }
  const floorMs = open?.toMs ?? placing.floorMs;
  const fromMs = notBefore(floorMs, endMs - lengthMs);
  if (fromMs >= endMs)
    return { placing: countedMs === 0 ? placing : { ...placing, unplacedMs: lengthMs }, closed: null };
  return {
    placing: { open: { fromMs, toMs: endMs }, floorMs, unplacedMs: lengthMs - (endMs - fromMs) },
    closed: open,
  };
}

/** Places what was waiting, now that the clock can be believed. */
export function placeWaiting(
  placing: Placing,
  nowMs: number,
): { readonly placing: Placing; readonly closed: Span | null } {
  return placing.unplacedMs > 0 ? placeRun(placing, 0, nowMs) : { placing, closed: null };
}

function notBefore(floorMs: number | null, atMs: number): number {
  return floorMs === null ? atMs : Math.max(floorMs, atMs);
}
