import { dayMs, hourMs } from '../domain/day.js';
import { nearby } from './constants.js';
import { timeWithin } from './spans.js';
import type { Timeline } from './timeline.js';

/** What the feed alone says about its days: hours a day around each day, and how bursty it is. All in feed hours. */
export interface FeedRates {
  /** Weighted covered days within reach of the instant, and the run hours in them (triangular weights); few days weigh less than they are. */
  around(atMs: number): { coveredDays: number; runHours: number };
  /** Run hours a covered day, over all coverage. */
  readonly hoursPerDay: number;
  /** Variance over mean in blocks of ten days, leaning on six blocks of 5 h. */
  readonly phi: number;
}

const blockDays = 10;
/** So many covered days around an instant count half. Common practice, no source. */
const fewDays = 14;
const priorBlocks = { count: 6, phi: 5 };

/** Day by day sums of the feed.
 *  @param timeline  with or without coverage; without, everything is 0 */
export function rateFeed(timeline: Timeline): FeedRates {
  const startMs = timeline.coverage[0]?.fromMs ?? 0;
  const endMs = timeline.coverage.at(-1)?.toMs ?? 0;
  const days = Math.ceil((endMs - startMs) / dayMs);
  const covered = new Float64Array(days);
  const ran = new Float64Array(days);
  let allCovered = 0;
  let allRan = 0;
  for (let d = 0; d < days; d += 1) {
    const fromMs = startMs + d * dayMs;
    const coveredDays = timeWithin(timeline.covered, fromMs, fromMs + dayMs) / dayMs;
    const runHours = timeWithin(timeline.watchedRuns, fromMs, fromMs + dayMs) / hourMs;
    covered[d] = coveredDays;
    ran[d] = runHours;
    allCovered += coveredDays;
    allRan += runHours;
  }
  const hoursPerDay = allCovered > 0 ? allRan / allCovered : 0;
  return {
    hoursPerDay,
    phi: burstiness(covered, ran, hoursPerDay),
    around(atMs) {
      const middle = (atMs - startMs) / dayMs - 0.5;
      let coveredDays = 0;
      let runHours = 0;
      const last = Math.min(days - 1, Math.floor(middle + nearby.days));
      for (let d = Math.max(0, Math.ceil(middle - nearby.days)); d <= last; d += 1) {
        const weight = 1 - Math.abs(d - middle) / nearby.days;
        coveredDays += weight * (covered[d] ?? 0);
        runHours += weight * (ran[d] ?? 0);
      }
      // A few days are no sample of a pace: a weekend machine runs on two of seven.
      const trust = coveredDays / (coveredDays + fewDays);
      return { coveredDays: trust * coveredDays, runHours: trust * runHours };
    },
  };
}

function burstiness(covered: Float64Array, ran: Float64Array, hoursPerDay: number): number {
  let sum = priorBlocks.count * priorBlocks.phi;
  let count = priorBlocks.count;
  for (let from = 0; from < covered.length && hoursPerDay > 0; from += blockDays) {
    let coveredDays = 0;
    let runHours = 0;
    for (let d = from; d < Math.min(covered.length, from + blockDays); d += 1) {
      coveredDays += covered[d] ?? 0;
      runHours += ran[d] ?? 0;
    }
    const expected = coveredDays * hoursPerDay;
    if (coveredDays < blockDays / 4) continue;
    sum += (runHours - expected) ** 2 / expected;
    count += 1;
  }
  return sum / count;
}
