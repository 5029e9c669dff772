import { dayMs, minuteMs } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import { cellDays, coarseAhead, fineAheadDays, historyDays } from './constants.js';
import type { Evidence, EvidenceReading } from './evidence.js';
import { clipSpans, makeSpanClock, type SpanClock, sharedSpans, uniteSpans } from './spans.js';

/** The time axis of a fit: cells of constant rate, counted from the newest reading. */
export interface Timeline {
  /** The newest reading; for a machine with runs only, where they begin, at 0 h. */
  readonly origin: EvidenceReading;
  /** All readings up to now, newest last. */
  readonly readings: readonly EvidenceReading[];
  /** Until here something is known: the newest reading, or the end of coverage or of "not used" after it. */
  readonly evidenceEndMs: number;
  /** Cell edges in days from the origin, ascending, one more than cells. */
  readonly edges: Float64Array;
  /** Cells before the origin. */
  readonly pastCells: number;
  /** Cells that evidence touches: all past ones and those up to evidenceEndMs. */
  readonly fitCells: number;
  /** Time that the feed ran. */
  readonly runs: SpanClock;
  /** What of it lies in coverage: only that, over the covered time, is a rate. */
  readonly watchedRuns: SpanClock;
  /** Time that the feed was alive. */
  readonly covered: SpanClock;
  /** Time of which the use is known: covered, a run outside that, or told not to be used. */
  readonly known: SpanClock;
  readonly coverage: readonly Span[];
  readonly knownSpans: readonly Span[];
  /** Covered, or told not to be used. */
  readonly watchedSpans: readonly Span[];
  readonly hasFeed: boolean;
}

/** Clocks differ a little: a reading may be this far ahead of now. */
const clockSlackMs = 5 * minuteMs;

/** Lays the cells out; null where neither a reading nor a run is known.
 *  @param evidence  arranged
 *  @param nowMs     evidence after it is left out */
export function layTimeline(evidence: Evidence, nowMs: number): Timeline | null {
  const readings = evidence.readings.filter((reading) => reading.atMs <= nowMs + clockSlackMs);
  const runs = clipSpans(evidence.runs, Number.NEGATIVE_INFINITY, nowMs);
  const coverage = clipSpans(evidence.coverage, Number.NEGATIVE_INFINITY, nowMs);
  const firstRunMs = runs[0]?.fromMs;
  const newest = readings.at(-1);
  if (newest === undefined && firstRunMs === undefined) return null;
  const coverageStartMs = coverage[0]?.fromMs;
  const origin = newest ?? { atMs: coverageStartMs ?? firstRunMs ?? nowMs, hours: 0, about: false };
  const watchedSpans = uniteSpans([...coverage, ...clipSpans(evidence.notUsed, Number.NEGATIVE_INFINITY, nowMs)]);
  const knownSpans = uniteSpans([...watchedSpans, ...runs]);
  const evidenceEndMs = Math.max(origin.atMs, knownSpans.at(-1)?.toMs ?? origin.atMs);
  const oldestMs = Math.min(
    oldestUsed(readings, origin.atMs),
    Math.max(coverageStartMs ?? origin.atMs, origin.atMs - historyDays * dayMs),
  );
  const pastDays = (origin.atMs - oldestMs) / dayMs;
  const aheadDays = (evidenceEndMs - origin.atMs) / dayMs;
  const { edges, pastCells, fitCells } = layEdges(pastDays, aheadDays);
  return {
    origin,
    readings: newest === undefined ? [origin] : readings,
    evidenceEndMs,
    edges,
    pastCells,
    fitCells,
    runs: makeSpanClock(runs),
    watchedRuns: makeSpanClock(sharedSpans(coverage, runs)),
    covered: makeSpanClock(coverage),
    known: makeSpanClock(knownSpans),
    coverage,
    knownSpans,
    watchedSpans,
    hasFeed: coverage.length > 0 || runs.length > 0,
  };
}

/** The oldest reading of the last years; where fewer than three are that new, the newest older one too, so that long idle years count. */
function oldestUsed(readings: readonly EvidenceReading[], originMs: number): number {
  const borderMs = originMs - historyDays * dayMs;
  const within = readings.filter((reading) => reading.atMs >= borderMs);
  const older = readings.filter((reading) => reading.atMs < borderMs).at(-1);
  if (within.length < 3 && older !== undefined) return older.atMs;
  return within[0]?.atMs ?? originMs;
}

/** Cells of equal length back from the origin, the first stretched to the oldest evidence; ahead, fine ones until well after the
 *  last evidence, then coarser ones. All edges but the oldest are whole cells apart, so that kernels can be tabled. */
function layEdges(pastDays: number, aheadDays: number): { edges: Float64Array; pastCells: number; fitCells: number } {
  const pastCells = pastDays > 0 ? Math.max(1, Math.floor(Math.min(pastDays, historyDays) / cellDays)) : 0;
  const edges: number[] = [];
  if (pastCells > 0) edges.push(-pastDays);
  for (let i = pastCells - 1; i >= 0; i -= 1) edges.push(-i * cellDays);
  if (pastCells === 0) edges.push(0);
  const fineCells = Math.ceil(aheadDays / cellDays) + fineAheadDays / cellDays;
  let at = 0;
  for (let i = 0; i < fineCells; i += 1) {
    at += cellDays;
    edges.push(at);
  }
  for (const [count, days] of coarseAhead) {
    for (let i = 0; i < count; i += 1) {
      at += days;
      edges.push(at);
    }
  }
  return { edges: Float64Array.from(edges), pastCells, fitCells: pastCells + Math.ceil(aheadDays / cellDays) };
}
