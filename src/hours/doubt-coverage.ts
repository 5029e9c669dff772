import { dayMs, hourMs } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import { ratioPrior } from './constants.js';
import type { Evidence } from './evidence.js';
import { gapsBetween, makeSpanClock, timeWithin } from './spans.js';

/** Between two readings the meter rose far more than a feed that was alive saw: the sensor sat loose, or its wire was off. */
export interface Contradiction extends Span {
  /** Hours of the feed, and of the meter. */
  readonly sawHours: number;
  readonly roseHours: number;
}

/** The meter may rise so many times what the usual ratio makes of the runs, and so many hours more, before a feed is doubted: odd
 *  sensors exist, readings are noted late. Common practice, no source. */
const slack = { times: 5, hours: 2 } as const;
/** The meter counts at most so many times the hours of a sensor that is well: more was a sensor that came loose again and again. Common practice, no
 *  source. */
const mostRatio = 4;
/** A doubted sensor is believed again from where it saw so many hours more: a wire that sparks for a minute is no cure. Own choice. */
const curedHours = 1;
/** In the feed's gaps a machine may have worked so many hours a day. Common practice, no source. */
const gapHoursPerDay = 8;
/** Only where the feed was there at least this share of the time. */
const leastCovered = 0.5;
/** A reading's time may be off by a day: runs this near to it count as seen. */
const readingSlackMs = dayMs;

/** Stretches between neighbouring readings whose rise no ratio of meter to sensor explains.
 *  @param evidence  arranged
 *  @param nowMs     readings after it are left out
 *  @returns         ascending; empty without coverage, or where the ratio is known (then there is no meter)
 *  Source: common practice, no source. */
export function findContradictions(evidence: Evidence, nowMs: number): Contradiction[] {
  if (evidence.coverage.length === 0 || evidence.meterRatioKnown) return [];
  const runs = makeSpanClock(evidence.runs);
  const covered = makeSpanClock(evidence.coverage);
  const readings = evidence.readings.filter((reading) => reading.atMs <= nowMs && !reading.about);
  const stretches = readings.slice(1).map((reading, i) => {
    const { atMs: fromMs, hours } = readings[i] ?? reading;
    const toMs = reading.atMs;
    const seenAround = timeWithin(runs, fromMs - readingSlackMs, toMs + readingSlackMs) / hourMs;
    const coveredMs = timeWithin(covered, fromMs, toMs);
    return {
      fromMs,
      toMs,
      sawHours: timeWithin(runs, fromMs, toMs) / hourMs,
      roseHours: reading.hours - hours,
      seenAround,
      coveredShare: toMs > fromMs ? coveredMs / (toMs - fromMs) : 0,
      gapDays: (toMs - fromMs - coveredMs) / dayMs,
    };
  });
  const told = stretches.filter((one) => one.sawHours >= 1 && one.coveredShare >= leastCovered);
  // What the others say: a stretch that is wrong would speak for itself.
  const usualBut = (own: (typeof stretches)[number]) => {
    const ratios = told.filter((one) => one !== own).map((one) => one.roseHours / one.sawHours);
    const middle = ratios.sort((a, b) => a - b)[Math.floor(ratios.length / 2)] ?? 0;
    return Math.max(ratioPrior[evidence.meterCounts].median, Math.min(mostRatio, middle));
  };
  return stretches
    .filter(
      (one) =>
        one.coveredShare >= leastCovered &&
        one.roseHours > slack.times * usualBut(one) * one.seenAround + slack.hours + gapHoursPerDay * one.gapDays,
    )
    .map(({ fromMs, toMs, sawHours, roseHours }) => ({ fromMs, toMs, sawHours, roseHours }));
}

/** The evidence without the coverage that readings contradict: that time counts as a gap, in which the hours are estimated. Where the newest
 *  stretch is contradicted, so is the time after it, until the feed sees the engine run again. Runs that were seen stay.
 *  @param contradictions  from findContradictions, of the same evidence and instant */
export function doubtCoverage(evidence: Evidence, contradictions: readonly Contradiction[], nowMs: number): Evidence {
  const newest = contradictions.at(-1);
  if (newest === undefined) return evidence;
  const lastReadMs = evidence.readings.findLast((reading) => reading.atMs <= nowMs && !reading.about)?.atMs;
  const againMs = curedFrom(evidence, newest.toMs);
  const doubted: Span[] = contradictions.map(({ fromMs, toMs }) => ({ fromMs, toMs }));
  if (newest.toMs === lastReadMs && againMs > newest.toMs) doubted.push({ fromMs: newest.toMs, toMs: againMs });
  const coverage = evidence.coverage.flatMap((span) => gapsBetween(doubted, span.fromMs, span.toMs));
  return { ...evidence, coverage };
}

/** The first run after an instant from which on the feed saw enough to be believed again; infinity where it has not yet. */
function curedFrom({ runs }: Evidence, sinceMs: number): number {
  const after = runs.filter((run) => run.fromMs >= sinceMs);
  const sawMs = after.reduce((sum, run) => sum + run.toMs - run.fromMs, 0);
  return sawMs >= curedHours * hourMs ? (after[0]?.fromMs ?? Number.POSITIVE_INFINITY) : Number.POSITIVE_INFINITY;
}
