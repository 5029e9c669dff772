import { dayMs } from '../domain/day.js';
import { cellDays, leastWeight, seasonMeanShare } from './constants.js';
import type { Evidence } from './evidence.js';
import { type Fit, fitRates, type WindowTable } from './fit.js';
import { covariances, kernelName, tableKernel } from './kernel.js';
import { remember } from './remember.js';
import { seasonFactor } from './season.js';
import type { Setting } from './settings.js';
import type { Timeline } from './timeline.js';

/** One setting with one burstiness, fitted and weighed. */
export interface Fitted {
  /** Weights of all that are returned together add up to 1. */
  readonly weight: number;
  readonly setting: Setting;
  readonly phi: number;
  /** Prior mean of the log rate in every cell, ahead too. */
  readonly mean: Float64Array;
  /** Null: no window to fit, the prior alone. */
  readonly fit: Fit | null;
}

/** Log weight below the best found so far at which a fit is given up after three rounds at most: by then the evidence is within a few units of its end. */
const hopelessBelow = 12;

/** Days of history from which a level far below the other is left out, at half the time, and how far that is (log weight of the first setting): what
 *  it would add is one part in twenty then. */
const levelLearntDays = 550;
const levelHopelessBelow = 3;

/** Fits every setting with each of its bursts and weighs them by exp(evidence) × prior; those below 0.003 are left out.
 *  All settings are tried at their first burstiness before any other, so that the best is known early and the hopeless ones cost three rounds each.
 *  @param table     no windows: the priors
 *  @param given     at least one; of several levels a long history keeps those that matter
 *  @returns         at least one */
export function fitSettings(
  evidence: Evidence,
  timeline: Timeline,
  table: WindowTable,
  given: readonly Setting[],
): Fitted[] {
  const fitCells = { from: 0, to: timeline.fitCells };
  const byKernel = new Map<string, Float64Array>();
  const byShape = new Map<string, Float64Array>();
  const open = given.map((setting) => {
    const { season, wander, level } = setting;
    const shape = remember(byShape, `${season.word} ${season.height}`, () =>
      logShape(timeline, seasonFactor(season, evidence.hemisphere)),
    );
    const mean = shape.map((value) => value + level.logRate - (seasonMeanShare * wander.seasonSd ** 2) / 2);
    const opened: Open = { setting, mean, tried: 0, start: null, best: Number.NEGATIVE_INFINITY };
    return opened;
  });
  const prior = () =>
    open.flatMap(({ setting, mean }) =>
      setting.bursts.map(({ phi, prior }) => ({
        logWeight: Math.log(setting.prior * prior),
        setting,
        phi,
        mean,
        fit: null,
      })),
    );
  if (table.windows.length === 0) return weigh(prior());
  const kernels = tableKernel(timeline);
  let fitted: Weighed[] = [];
  let best = Number.NEGATIVE_INFINITY;
  const tryNext = (one: Open) => {
    const { setting, mean } = one;
    const burst = setting.bursts[one.tried];
    one.tried += 1;
    if (burst === undefined) return;
    const weight = Math.log(setting.prior * burst.prior);
    const fit = fitRates(
      table,
      remember(byKernel, kernelName(setting), () => covariances(kernels, setting, fitCells, fitCells)),
      mean.subarray(0, timeline.fitCells),
      burst.phi,
      setting.level.sd ** 2,
      one.start,
      (soFar) => soFar + weight < best - hopelessBelow,
    );
    if (fit?.kind === 'given-up') one.start = fit.logRate;
    if (fit?.kind !== 'fit' || !Number.isFinite(fit.evidence)) return;
    const logWeight = fit.evidence + weight;
    one.start = fit.logRate;
    one.best = Math.max(one.best, logWeight);
    best = Math.max(best, logWeight);
    fitted.push({ logWeight, setting, phi: burst.phi, mean, fit });
  };
  let left = open;
  const levels = new Set(given.map(({ level }) => level));
  if (levels.size > 1 && -(timeline.edges[0] ?? 0) >= levelLearntDays) {
    const leaders = [...levels].flatMap((level) => open.find(({ setting }) => setting.level === level) ?? []);
    leaders.forEach(tryNext);
    const kept = new Set(
      leaders.flatMap(({ best: own, setting }) => (own >= best - levelHopelessBelow ? [setting.level] : [])),
    );
    left = open.filter(({ setting }) => kept.has(setting.level));
    fitted = fitted.filter(({ setting }) => kept.has(setting.level));
  }
  const most = Math.max(...left.map(({ setting }) => setting.bursts.length));
  for (let turn = 0; turn < most; turn += 1) {
    for (const one of left.sort((a, b) => b.best - a.best)) if (one.tried <= turn) tryNext(one);
  }
  // Evidence beyond all that the settings foresee (nothing could be fitted): the expectation alone.
  return weigh(fitted.length === 0 ? prior() : fitted);
}

interface Open {
  readonly setting: Setting;
  readonly mean: Float64Array;
  /** Bursts tried so far. */
  tried: number;
  /** Log rate of the last fit, given up or not: where the next burstiness begins. */
  start: Float64Array | null;
  best: number;
}

type Weighed = Omit<Fitted, 'weight'> & { readonly logWeight: number };

/** Weights that add up to 1, the light ones left out. */
function weigh(fitted: readonly Weighed[]): Fitted[] {
  const top = Math.max(...fitted.map((one) => one.logWeight));
  const raw = fitted.map(({ logWeight, ...one }) => ({ ...one, weight: Math.exp(logWeight - top) }));
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
