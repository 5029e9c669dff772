import { dayMs } from '../domain/day.js';
import { bursts, cellDays, leastWeight, seasonMeanShare } from './constants.js';
import type { Evidence } from './evidence.js';
import { rateFeed } from './feed-rates.js';
import { type Fit, fitRates, tableWindows, type WindowTable } from './fit.js';
import { covariances, tableKernel } from './kernel.js';
import { type Course, lookAtGaps, predictCourse } from './predict.js';
import { learnRatio, type Ratio } from './ratio.js';
import { seasonFactor } from './season.js';
import { levelFor, type Setting, settingsFor } from './settings.js';
import { layTimeline, type Timeline } from './timeline.js';
import { cutWindows, spaceReadings } from './windows.js';

/** One setting with one burstiness, as far as the evidence left it weight. */
export interface Belief {
  /** Weights of all beliefs add up to 1. */
  readonly weight: number;
  readonly setting: Setting;
  /** φ, hours. */
  readonly phi: number;
  /** Hours a day in each past cell. */
  readonly pastRate: Float64Array;
  readonly course: Course;
}

/** What is known of a machine's hours at every instant. Does not depend on the clock as long as the evidence is the same. */
export interface HoursEstimate {
  readonly timeline: Timeline;
  readonly ratio: Ratio;
  readonly beliefs: readonly Belief[];
  /** Weight that the owner's season word has lost to an even year: near 1 the readings contradict it; null without a word. */
  readonly pWordWrong: number | null;
}

/** The model of hours fitted to the evidence: compound-Poisson use with a log-Gaussian rate, averaged over settings × burstiness.
 *  @param evidence  arranged (gatherEvidence, arrangeEvidence)
 *  @param nowMs     evidence later than now is left out; otherwise the answer does not depend on it
 *  @returns         null where no reading and no run is known; one reading alone gives the owner's expectation from there on
 *  Source: own design on Rasmussen and Williams 2006 (Gaussian processes), Jørgensen 1987 (compound Poisson). */
export function estimateHours(evidence: Evidence, nowMs: number): HoursEstimate | null {
  const timeline = layTimeline(evidence, nowMs);
  if (timeline === null) return null;
  const kept = spaceReadings(timeline);
  const rates = timeline.hasFeed ? rateFeed(timeline) : null;
  const ratio = rates === null ? { mean: 1, sd: 0 } : learnRatio(evidence, timeline, rates, kept);
  const table = tableWindows(cutWindows(evidence, timeline, kept, ratio), timeline.fitCells);
  const ahead = lookAtGaps(timeline, rates, ratio.mean);
  const settings = settingsFor(evidence.expect.season);
  const fitted = weigh(fitAll(evidence, timeline, table, settings));
  const cells = timeline.edges.length - 1;
  const { pastCells, fitCells } = timeline;
  const kernels = tableKernel(timeline);
  const level = levelFor(evidence.expect);
  const own = new Map<number, Float64Array>();
  const cross = new Map<number, Float64Array>();
  const aheadCells = { from: pastCells, to: cells };
  const beliefs = fitted.map(({ weight, setting, phi, mean, fit }): Belief => {
    const sd = setting.seasonSd;
    const ownK = remember(own, sd, () => covariances(kernels, level.sd, sd, aheadCells, aheadCells));
    const crossK = remember(cross, sd, () => covariances(kernels, level.sd, sd, aheadCells, { from: 0, to: fitCells }));
    return {
      weight,
      setting,
      phi,
      pastRate: (fit?.logRate ?? mean).slice(0, pastCells).map((f) => Math.exp(Math.min(3.2, f))),
      course: predictCourse(ahead, mean.subarray(pastCells), ownK, crossK, fit, table),
    };
  });
  const word = evidence.expect.season;
  const even = beliefs.reduce((sum, belief) => sum + (belief.setting.season.word === 'even' ? belief.weight : 0), 0);
  return { timeline, ratio, beliefs, pWordWrong: word === 'unknown' || word === 'even' ? null : even };
}

interface Fitted {
  readonly logWeight: number;
  readonly setting: Setting;
  readonly phi: number;
  readonly mean: Float64Array;
  readonly fit: Fit | null;
}

function fitAll(evidence: Evidence, timeline: Timeline, table: WindowTable, settings: readonly Setting[]): Fitted[] {
  const level = levelFor(evidence.expect);
  const fitCells = { from: 0, to: timeline.fitCells };
  const kernels = table.windows.length > 0 ? tableKernel(timeline) : null;
  const byKernel = new Map<number, Float64Array>();
  const byShape = new Map<string, Float64Array>();
  const fitted: Fitted[] = [];
  let best = Number.NEGATIVE_INFINITY;
  for (const setting of settings) {
    const { season, seasonSd } = setting;
    const shape = remember(byShape, `${season.word} ${season.height}`, () =>
      logShape(timeline, seasonFactor(season, evidence.hemisphere)),
    );
    const mean = shape.map((value) => value + level.logRate - (seasonMeanShare * seasonSd ** 2) / 2);
    const prior = Math.log(setting.prior);
    if (kernels === null) {
      for (const burst of bursts)
        fitted.push({ logWeight: prior + Math.log(burst.prior), setting, phi: burst.phi, mean, fit: null });
      continue;
    }
    const kernel = remember(byKernel, seasonSd, () => covariances(kernels, level.sd, seasonSd, fitCells, fitCells));
    let start: Float64Array | null = null;
    for (const burst of bursts) {
      const weight = prior + Math.log(burst.prior);
      // After three rounds the evidence is within a few units of its end: far below the best it cannot come back.
      const isHopeless = (soFar: number) => soFar + weight < best - 12;
      const fit: Fit | null = fitRates(
        table,
        kernel,
        mean.subarray(0, timeline.fitCells),
        burst.phi,
        level.sd ** 2,
        start,
        isHopeless,
      );
      if (fit === null || !Number.isFinite(fit.evidence)) continue;
      start = fit.logRate;
      best = Math.max(best, fit.evidence + weight);
      fitted.push({ logWeight: fit.evidence + weight, setting, phi: burst.phi, mean, fit });
    }
  }
  // Evidence beyond all that the settings foresee (nothing could be fitted): the expectation alone.
  if (fitted.length === 0) return fitAll(evidence, timeline, { ...table, windows: [] }, settings);
  return fitted;
}

/** Weights that add up to 1, the light ones left out. */
function weigh(fitted: readonly Fitted[]): (Fitted & { weight: number })[] {
  const top = Math.max(...fitted.map((one) => one.logWeight));
  const raw = fitted.map((one) => ({ ...one, weight: Math.exp(one.logWeight - top) }));
  const total = raw.reduce((sum, one) => sum + one.weight, 0);
  const kept = raw.filter((one) => one.weight >= leastWeight * total);
  const left = kept.reduce((sum, one) => sum + one.weight, 0);
  return kept.map((one) => ({ ...one, weight: one.weight / left }));
}

/** Log of the season's mean factor in each cell; wide cells are averaged. */
function logShape(timeline: Timeline, factor: (atMs: number) => number): Float64Array {
  const { edges, origin } = timeline;
  const shape = new Float64Array(edges.length - 1);
  for (let i = 0; i < shape.length; i += 1) {
    const from = edges[i] ?? 0;
    const days = (edges[i + 1] ?? 0) - from;
    const parts = Math.max(1, Math.round(days / cellDays));
    let sum = 0;
    for (let part = 0; part < parts; part += 1)
      sum += factor(origin.atMs + (from + (days * (part + 0.5)) / parts) * dayMs);
    shape[i] = Math.log(sum / parts);
  }
  return shape;
}

function remember<K, V>(memory: Map<K, V>, key: K, make: () => V): V {
  const known = memory.get(key);
  if (known !== undefined) return known;
  const made = make();
  memory.set(key, made);
  return made;
}
