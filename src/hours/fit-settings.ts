import { dayMs } from '../domain/day.js';
import { type Burst, cellDays, leastWeight, seasonMeanShare } from './constants.js';
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

/** How far below the best the leading setting lies at a burstiness that is hopeless for all: another setting gains at most a few units on it. */
const burstHopelessBelow = hopelessBelow + 6;

/** Days of history from which a level far below the other is left out, at half the time, and how far that is (log weight of the best setting of the
 *  first level against the same setting at the other): what it would add is one part in twenty then. */
const levelLearntDays = 550;
const levelHopelessBelow = 3;

/** Fits every setting with each of its bursts and weighs them by exp(evidence) × prior; those below 0.003 are left out.
 *  The first setting is tried at every burstiness; the others at the one that suited it, beginning from the best answer so far, and at the rest
 *  only where the best of them is not hopeless there: with years of readings one burstiness mostly stands, and most settings end after a round.
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
    const opened: Open = { setting, mean, tried: new Map(), start: null, best: Number.NEGATIVE_INFINITY };
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
  /** Log rate of the best fit so far: the readings decide it more than the setting does, so that others begin there. */
  let found: Float64Array | null = null;
  const fitAt = (one: Open, { phi, prior }: Burst) => {
    const { setting, mean } = one;
    const weight = Math.log(setting.prior * prior);
    const fit = fitRates(
      table,
      remember(byKernel, kernelName(setting), () => covariances(kernels, setting, fitCells, fitCells)),
      mean.subarray(0, timeline.fitCells),
      phi,
      setting.level.sd ** 2,
      one.start ?? found,
      (soFar) => soFar + weight < best - hopelessBelow,
    );
    const logWeight = fit === null || !Number.isFinite(fit.evidence) ? Number.NEGATIVE_INFINITY : fit.evidence + weight;
    one.tried.set(phi, logWeight);
    if (fit === null || logWeight === Number.NEGATIVE_INFINITY) return;
    one.start = fit.logRate;
    one.best = Math.max(one.best, logWeight);
    if (fit.kind === 'given-up') return;
    if (logWeight > best) {
      best = logWeight;
      found = fit.logRate;
    }
    fitted.push({ logWeight, setting, phi, mean, fit });
  };
  // One with many bursts to choose from.
  const first = open.reduce<Open | undefined>(
    (most, one) => (most !== undefined && most.setting.bursts.length >= one.setting.bursts.length ? most : one),
    undefined,
  );
  for (const burst of first?.setting.bursts ?? []) if (first !== undefined) fitAt(first, burst);
  const usual = likeliestPhi(first);
  const fitFirst = (ones: readonly Open[]) => {
    for (const one of ones) if (one.tried.size === 0) fitAt(one, nearestBurst(one.setting.bursts, usual));
  };
  let left = open;
  const ownLevel = open.filter(({ setting }) => setting.level === first?.setting.level);
  fitFirst(ownLevel);
  if (ownLevel.length < open.length && -(timeline.edges[0] ?? 0) >= levelLearntDays) {
    const leader = bestOf(ownLevel);
    const twins = open.filter(({ setting }) => leader !== undefined && isTwin(setting, leader.setting));
    fitFirst(twins);
    const kept = new Set(
      [leader, ...twins].flatMap((one) =>
        one !== undefined && one.best >= best - levelHopelessBelow ? [one.setting.level] : [],
      ),
    );
    left = open.filter(({ setting }) => kept.has(setting.level));
    fitted = fitted.filter(({ setting }) => kept.has(setting.level));
  }
  fitFirst(left);
  for (const phi of phisFrom(usual, left)) {
    let led = Number.NEGATIVE_INFINITY;
    for (const one of left.sort((a, b) => b.best - a.best)) {
      const burst = one.setting.bursts.find((own) => own.phi === phi);
      if (burst === undefined) continue;
      const isHopeless = led > Number.NEGATIVE_INFINITY && led < best - burstHopelessBelow;
      if (!isHopeless && !one.tried.has(phi)) fitAt(one, burst);
      led = Math.max(led, one.tried.get(phi) ?? led);
    }
  }
  // Evidence beyond all that the settings foresee (nothing could be fitted): the expectation alone.
  return weigh(fitted.length === 0 ? prior() : fitted);
}

interface Open {
  readonly setting: Setting;
  readonly mean: Float64Array;
  /** Log weight by burstiness, as far as it was fitted; −∞ where it could not be. */
  readonly tried: Map<number, number>;
  /** Log rate of the last fit, given up or not: where the next burstiness begins. */
  start: Float64Array | null;
  best: number;
}

/** The one of most weight so far. */
function bestOf(ones: readonly Open[]): Open | undefined {
  return ones.reduce<Open | undefined>(
    (most, one) => (most !== undefined && most.best >= one.best ? most : one),
    undefined,
  );
}

/** The burstiness that suits a setting best, hours. */
function likeliestPhi(one: Open | undefined): number {
  let likeliest = { phi: 1, logWeight: Number.NEGATIVE_INFINITY };
  for (const [phi, logWeight] of one?.tried ?? []) if (logWeight > likeliest.logWeight) likeliest = { phi, logWeight };
  return likeliest.phi;
}

/** Every burstiness of the settings, the nearest first. */
function phisFrom(phi: number, ones: readonly Open[]): number[] {
  const all = new Set(ones.flatMap(({ setting }) => setting.bursts.map((burst) => burst.phi)));
  return [...all].sort((a, b) => Math.abs(Math.log(a / phi)) - Math.abs(Math.log(b / phi)));
}

function nearestBurst(bursts: Setting['bursts'], phi: number): Burst {
  const apart = (burst: Burst) => Math.abs(Math.log(burst.phi / phi));
  return bursts.reduce((near, burst) => (apart(burst) < apart(near) ? burst : near));
}

/** Equal but for the level. */
function isTwin(one: Setting, other: Setting): boolean {
  const sameSeason = one.season.word === other.season.word && one.season.height === other.season.height;
  return sameSeason && one.wander === other.wander && one.level !== other.level;
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
