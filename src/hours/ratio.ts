import { dayMs, hourMs } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import { nearby, ratioPrior } from './constants.js';
import type { Evidence, EvidenceReading } from './evidence.js';
import type { FeedRates } from './feed-rates.js';
import { gapsBetween, timeWithin } from './spans.js';
import type { Timeline } from './timeline.js';

/** κ: meter hours per hour of the feed. */
export interface Ratio {
  readonly mean: number;
  readonly sd: number;
  /** Windows between readings that taught it; 0 where it is the prior, or known. */
  readonly windows: number;
}

/** Step and reach of the grid of log κ around the prior's median: reaches from a twentieth of it to twenty times it. */
const gridStep = 0.02;
const gridReach = 3;
/** Sensors exist that count quite other hours than the meter (an oil-pressure switch, a meter that runs with the key): so many of the
 *  prior's chances spread this wide on the log scale. Far off, readings decide; without any the narrow prior stands. Common practice, no source. */
const oddSensors = { share: 0.02, sd: 0.8 } as const;
/** A window between readings teaches the ratio only where the feed saw at least this share of it. */
const leastCovered = 0.2;

/** The ratio from windows between readings: with S feed hours seen and G expected in the gaps, the meter's rise y is about normal
 *  around κ(S + G) with variance κ²(φG + 0.04 G²) + 0.003 + (0.03 y)²; the posterior of log κ on a grid.
 *  @param kept  readings, ascending, spaced
 *  @returns     exactly 1 where the ratio is known; the prior where no window teaches it
 *  Source: common practice, no source; the prior's figures in constants.ts. */
export function learnRatio(
  evidence: Evidence,
  timeline: Timeline,
  rates: FeedRates,
  kept: readonly EvidenceReading[],
): Ratio {
  if (evidence.meterRatioKnown || !timeline.hasFeed) return { mean: 1, sd: 0, windows: 0 };
  const prior = ratioPrior[evidence.meterCounts];
  const windows = teachingWindows(timeline, rates, kept);
  const logWeights: number[] = [];
  const ratios: number[] = [];
  const odd = windows.length === 0 ? 0 : oddSensors.share;
  for (let offset = -gridReach; offset <= gridReach; offset += gridStep) {
    const ratio = prior.median * Math.exp(offset);
    const usual = ((1 - odd) / prior.sd) * Math.exp(-0.5 * (offset / prior.sd) ** 2);
    let log = Math.log(usual + (odd / oddSensors.sd) * Math.exp(-0.5 * (offset / oddSensors.sd) ** 2));
    for (const { rise, seen, missed } of windows) {
      const variance = ratio ** 2 * (rates.phi * missed + 0.04 * missed ** 2) + 0.003 + (0.03 * rise) ** 2;
      log -= (rise - ratio * (seen + missed)) ** 2 / (2 * variance) + Math.log(variance) / 2;
    }
    ratios.push(ratio);
    logWeights.push(log);
  }
  const top = Math.max(...logWeights);
  const weights = logWeights.map((log) => Math.exp(log - top));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = weights.reduce((sum, weight, i) => sum + weight * (ratios[i] ?? 0), 0) / total;
  const variance = weights.reduce((sum, weight, i) => sum + weight * ((ratios[i] ?? 0) - mean) ** 2, 0) / total;
  // The grid itself is two per cent wide: a spike on one point is not certainty.
  return { mean, sd: Math.sqrt(variance + (mean * gridStep) ** 2 / 12), windows: windows.length };
}

/** 0.9 quantile of the standard normal. Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.1 (1.282). */
const z90 = 1.2815515655;

/** Hours that the sensor counts while the meter moves on by one, 1/κ, with its doubt: κ taken as log-normal with the mean and
 *  standard deviation that were learnt.
 *  @returns  eight chances in ten lie between the ends; null where no window between readings taught it
 *  Source: moments of the log-normal distribution (Johnson, Kotz and Balakrishnan 1994, chapter 14), from memory. */
export function sensorPerMeterHour({ mean, sd, windows }: Ratio): Spread<number> | null {
  if (windows === 0) return null;
  const variance = Math.log(1 + (sd / mean) ** 2);
  const middle = Math.log(mean) - variance / 2;
  const reach = z90 * Math.sqrt(variance);
  return { p10: Math.exp(-middle - reach), p50: Math.exp(-middle), p90: Math.exp(-middle + reach) };
}

function teachingWindows(timeline: Timeline, rates: FeedRates, kept: readonly EvidenceReading[]) {
  const windows: { rise: number; seen: number; missed: number }[] = [];
  kept.forEach((reading, i) => {
    const next = kept[i + 1];
    if (next === undefined || reading.about) return;
    const covered = timeWithin(timeline.covered, reading.atMs, next.atMs);
    if (covered < leastCovered * (next.atMs - reading.atMs)) return;
    const seen = timeWithin(timeline.runs, reading.atMs, next.atMs) / hourMs;
    let missed = 0;
    for (const gap of gapsBetween(timeline.knownSpans, reading.atMs, next.atMs)) {
      for (let fromMs = gap.fromMs; fromMs < gap.toMs; fromMs += dayMs) {
        const toMs = Math.min(gap.toMs, fromMs + dayMs);
        const near = rates.around((fromMs + toMs) / 2);
        const rate = (near.runHours + nearby.fittedDays * rates.hoursPerDay) / (near.coveredDays + nearby.fittedDays);
        missed += (rate * (toMs - fromMs)) / dayMs;
      }
    }
    windows.push({ rise: next.hours - reading.hours, seen, missed });
  });
  return windows;
}
