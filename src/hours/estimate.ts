import { type Contradiction, doubtCoverage, findContradictions } from './doubt-coverage.js';
import type { Evidence } from './evidence.js';
import { rateFeed } from './feed-rates.js';
import { tableWindows } from './fit.js';
import { fitSettings } from './fit-settings.js';
import { covariances, kernelName, tableKernel } from './kernel.js';
import { type Course, lookAtGaps, predictCourse } from './predict.js';
import { learnRatio, type Ratio } from './ratio.js';
import { remember } from './remember.js';
import { type Setting, settingsFor } from './settings.js';
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
  /** Weight that the owner's season word has lost to other years: near 1 the readings contradict it; null without a word. */
  readonly pWordWrong: number | null;
  /** Weight that the owner's hours a year have lost to a machine of which nothing was told; null where none were told or nothing was seen yet. */
  readonly pHoursWrong: number | null;
  /** Where readings say that the feed did not see the engine run; that coverage was not believed. */
  readonly contradictions: readonly Contradiction[];
}

/** The model of hours fitted to the evidence: compound-Poisson use with a log-Gaussian rate, averaged over settings × burstiness.
 *  @param given  arranged (gatherEvidence, arrangeEvidence)
 *  @param nowMs  evidence later than now is left out; otherwise the answer does not depend on it
 *  @returns         null where no reading and no run is known; one reading alone gives the owner's expectation from there on
 *  Source: own design on Rasmussen and Williams 2006 (Gaussian processes), Jørgensen 1987 (compound Poisson). */
export function estimateHours(given: Evidence, nowMs: number): HoursEstimate | null {
  const contradictions = findContradictions(given, nowMs);
  const evidence = doubtCoverage(given, contradictions, nowMs);
  const timeline = layTimeline(evidence, nowMs);
  if (timeline === null) return null;
  const kept = spaceReadings(timeline);
  const rates = timeline.hasFeed ? rateFeed(timeline) : null;
  const ratio = rates === null ? { mean: 1, sd: 0, windows: 0 } : learnRatio(evidence, timeline, rates, kept);
  const table = tableWindows(cutWindows(evidence, timeline, kept, ratio), timeline.fitCells);
  const ahead = lookAtGaps(timeline, rates, ratio.mean);
  const settings = settingsFor(evidence.expect, table.windows.length > 0);
  const fitted = fitSettings(evidence, timeline, table, settings);
  const cells = timeline.edges.length - 1;
  const { pastCells, fitCells } = timeline;
  const kernels = tableKernel(timeline);
  const own = new Map<string, Float64Array>();
  const cross = new Map<string, Float64Array>();
  const aheadCells = { from: pastCells, to: cells };
  const beliefs = fitted.map(({ weight, setting, phi, mean, fit }): Belief => {
    const name = kernelName(setting);
    const ownK = remember(own, name, () => covariances(kernels, setting, aheadCells, aheadCells));
    const crossK = remember(cross, name, () => covariances(kernels, setting, aheadCells, { from: 0, to: fitCells }));
    return {
      weight,
      setting,
      phi,
      pastRate: (fit?.logRate ?? mean).slice(0, pastCells).map((f) => Math.exp(Math.min(3.2, f))),
      course: predictCourse(ahead, mean.subarray(pastCells), ownK, crossK, fit, table),
    };
  });
  const levels = new Set(settings.map(({ level }) => level));
  const [told] = levels;
  const offLevel = beliefs.reduce((sum, belief) => sum + (belief.setting.level === told ? 0 : belief.weight), 0);
  const word = evidence.expect.season;
  const others = beliefs.reduce((sum, belief) => sum + (belief.setting.season.word === word ? 0 : belief.weight), 0);
  return {
    timeline,
    ratio,
    beliefs,
    pWordWrong: word === 'unknown' || word === 'even' ? null : others,
    pHoursWrong: levels.size > 1 ? offLevel : null,
    contradictions,
  };
}
