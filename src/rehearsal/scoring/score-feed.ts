import { hoursQuantiles } from '../../hours/at.js';
import { estimateFor } from './estimate-for.js';
import type { FedCase } from './feed-cases.js';
import { type ScoredCase, scoredLevels } from './lay-cases.js';
import { coverage, median, type Scored } from './score.js';
import { asShown } from './score-family.js';

/** How far a feed that misses days brings the error of the hours now down, against readings alone. */
export interface FeedScore {
  readonly cases: number;
  /** Median error of the hours now, hours: from readings alone, with the feed, and with a feed whose ratio is known beforehand. */
  readonly readingsError: number;
  readonly feedError: number;
  readonly knownRatioError: number;
  /** Share of truths within the 80 % span with the feed. */
  readonly nowHeld: number;
}

/** Scores the hours now of cases with a feed. What remains with the ratio known is what the missed days cost whatever one does about
 *  the ratio.
 *  @param cases  at least one */
export function scoreFeed(cases: readonly FedCase[]): FeedScore {
  const readings: number[] = [];
  const feed: number[] = [];
  const known: number[] = [];
  const held: Scored[] = [];
  for (const { scored, ratio } of cases) {
    const { question, trueHoursNow } = scored;
    const miss = (quantiles: readonly number[]) => Math.abs((quantiles[middle] ?? 0) - trueHoursNow);
    readings.push(miss(hoursNow({ ...question, runs: [], coverage: [] }, false)));
    const runs = question.runs.map(({ fromMs, toMs }) => ({ fromMs, toMs: fromMs + (toMs - fromMs) * ratio }));
    known.push(miss(hoursNow({ ...question, runs }, true)));
    const quantiles = hoursNow(question, false);
    feed.push(miss(quantiles));
    held.push({ quantiles, truth: asShown(quantiles, trueHoursNow) });
  }
  return {
    cases: cases.length,
    readingsError: median(readings),
    feedError: median(feed),
    knownRatioError: median(known),
    nowHeld: coverage(held, scoredLevels, 0.8),
  };
}

const middle = (scoredLevels.length - 1) / 2;

function hoursNow(question: ScoredCase['question'], meterRatioKnown: boolean): number[] {
  const estimate = estimateFor(question, meterRatioKnown);
  return estimate === null ? [] : hoursQuantiles(estimate, question.nowMs, scoredLevels);
}
