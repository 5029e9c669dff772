import { factorCholesky, logDeterminant, solveLower, solveUpper } from '../maths/cholesky.js';
import { addScaled, dot } from '../maths/dense.js';
import { logGamma } from '../maths/log-gamma.js';
import { idleHours, idleYear, rounds, windowNoise } from './constants.js';
import type { Window } from './windows.js';

/** What the windows say under one setting and one burstiness. */
export interface Fit {
  readonly kind: 'fit';
  /** Log rate (hours a day) of each fitted cell, posterior mode. */
  readonly logRate: Float64Array;
  /** (S + V)⁻¹ (y − m + G(f − μ)): the mode is μ + K Gᵀ a. */
  readonly pull: Float64Array;
  /** Cholesky factor of S + V, windows × windows. */
  readonly factor: Float64Array;
  /** G = A·diag(e): for each window the derivative of its mean in each cell, laid one after another as in `starts`. */
  readonly slopes: Float64Array;
  readonly evidence: number;
}

/** Given up: by then the evidence was too poor to matter. Where it stood is a good place for a neighbouring φ to begin. */
export interface GivenUp {
  readonly kind: 'given-up';
  readonly logRate: Float64Array;
  /** As far as the fit had come. */
  readonly evidence: number;
}

/** The windows' days, laid one after another. */
export interface WindowTable {
  readonly windows: readonly Window[];
  /** Where each window's numbers begin in `days`; one more than windows. */
  readonly starts: Int32Array;
  readonly days: Float64Array;
  readonly cells: number;
}

/** Lays the windows out for the fits.
 *  @param cells  fitted cells */
export function tableWindows(windows: readonly Window[], cells: number): WindowTable {
  const starts = new Int32Array(windows.length + 1);
  windows.forEach((window, i) => {
    starts[i + 1] = (starts[i] ?? 0) + window.days.length;
  });
  const days = new Float64Array(starts[windows.length] ?? 0);
  windows.forEach((window, i) => {
    days.set(window.days, starts[i] ?? 0);
  });
  return { windows, starts, days, cells };
}

/** Mode of the log rate given the windows, by repeated linearisation in the space of the windows (so the solves are windows × windows),
 *  and the Laplace evidence: Σ log p(y_i) − ½ aᵀS a − ½ (log det(S + V) − Σ log V).
 *  p is the gamma density of the window's mean and variance where something ran, else the chance of no use, exp(−2m/φ).
 *  @param table   at least one window
 *  @param kernel  K, cells × cells
 *  @param mean    μ, the prior mean of the log rate in each cell
 *  @param phi     φ, hours
 *  @param levelVariance  σ0², for the first guess
 *  @param start   log rate to begin from (a neighbouring φ's answer), or null
 *  @param isHopeless  asked after the third round with the evidence so far, of a fit that begins at a neighbour's answer after each of the first
 *                 three, in the early ones with a better evidence than found; true gives up
 *  @returns       null where S + V is not positive
 *  Source: Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, 3.4 (Laplace approximation). */
export function fitRates(
  table: WindowTable,
  kernel: Float64Array,
  mean: Float64Array,
  phi: number,
  levelVariance: number,
  start: Float64Array | null,
  isHopeless: (evidence: number) => boolean,
): Fit | GivenUp | null {
  const { windows, starts, days, cells } = table;
  const n = windows.length;
  const logRate = start === null ? firstGuess(table, mean, levelVariance) : Float64Array.from(start);
  const slopes = new Float64Array(days.length);
  const spread = new Float64Array(n * cells);
  const system = new Float64Array(n * n);
  const means = new Float64Array(n);
  const variances = new Float64Array(n);
  const pull = new Float64Array(n);
  const target = new Float64Array(cells);
  const deviation = new Float64Array(cells);
  const rate = new Float64Array(cells);
  const firsts = Int32Array.from(windows, (window) => window.firstCell);
  // The chance of no use, exp(−2m/φ), has twice the slope and the bend that a variance of φm gives it. Where most of a year was idle the fit follows
  // it to the letter; where a season may be the reason, dates of seasonal machines came out worse so (`npm run score`).
  const idleShare = windows.map(({ days, hours, extraVariance }) =>
    hours <= idleHours && extraVariance < 0.1 ? yearShare(days.reduce((sum, one) => sum + one, 0)) : 0,
  );
  for (let round = 1; ; round += 1) {
    for (let c = 0; c < cells; c += 1) {
      const f = logRate[c] ?? 0;
      rate[c] = Math.exp(Math.min(3.2, Math.max(-12, f)));
      deviation[c] = f - (mean[c] ?? 0);
    }
    spread.fill(0);
    windows.forEach((window, i) => {
      const from = starts[i] ?? 0;
      let m = 0;
      for (let k = 0; k < window.days.length; k += 1) {
        const cell = window.firstCell + k;
        const slope = (days[from + k] ?? 0) * (rate[cell] ?? 0);
        slopes[from + k] = slope;
        m += slope;
        addScaled(spread, i * cells, kernel, cell * cells, cells, slope);
      }
      m = Math.max(m, 1e-4);
      means[i] = m;
      const burst = phi * (1 - (idleShare[i] ?? 0) / 2);
      const variance = burst * Math.max(m, windowNoise.leastMean) + windowNoise.rounding + window.extraVariance;
      variances[i] = variance;
      pull[i] = window.hours - m + dot(slopes, from, deviation, window.firstCell, window.days.length);
      // A plain loop: windows touch a few cells each, and a call for each pair costs more than the sum.
      for (let j = 0; j <= i; j += 1) {
        const end = starts[j + 1] ?? 0;
        let at = i * cells + (firsts[j] ?? 0);
        let sum = 0;
        for (let k = starts[j] ?? 0; k < end; k += 1) {
          sum += (spread[at] ?? 0) * (slopes[k] ?? 0);
          at += 1;
        }
        system[i * n + j] = sum;
      }
      system[i * n + i] = (system[i * n + i] ?? 0) + variance;
    });
    const right = Float64Array.from(pull);
    if (!factorCholesky(system, n)) return null;
    solveLower(system, n, pull);
    solveUpper(system, n, pull);
    target.set(mean);
    for (let i = 0; i < n; i += 1) addScaled(target, 0, spread, i * cells, cells, pull[i] ?? 0);
    const step = round <= rounds.fullSteps ? 1 : 0.6;
    let moved = 0;
    for (let c = 0; c < cells; c += 1) {
      const move = Math.min(1, Math.max(-1, (target[c] ?? 0) - (logRate[c] ?? 0)));
      moved = Math.max(moved, Math.abs(move));
      logRate[c] = (logRate[c] ?? 0) + step * move;
    }
    const isSettled = moved < rounds.enough || round >= rounds.most;
    const isAsked = round === rounds.beforeDropping || (start !== null && round < rounds.beforeDropping);
    if (isSettled || isAsked) {
      // aᵀS a = aᵀ((S + V)a − V a) = aᵀ(right side) − Σ V a².
      let evidence = -0.5 * (dot(pull, 0, right, 0, n) + logDeterminant(system, n));
      for (let i = 0; i < n; i += 1) {
        const variance = variances[i] ?? 1;
        evidence += 0.5 * (variance * (pull[i] ?? 0) ** 2 + Math.log(variance));
        evidence += logDensity(windows[i]?.hours ?? 0, means[i] ?? 0, phi, windows[i]?.extraVariance ?? 0);
      }
      if (isSettled) return { kind: 'fit', logRate, pull, factor: system, slopes, evidence };
      const mayGain = rounds.gainARound * (rounds.beforeDropping - round);
      if (isHopeless(evidence + mayGain)) return { kind: 'given-up', logRate, evidence };
    }
  }
}

/** The prior mean, lifted towards the average of the readings as far as the prior lets it go. */
function firstGuess(table: WindowTable, mean: Float64Array, levelVariance: number): Float64Array {
  let hours = 0;
  let expected = 0;
  table.windows.forEach((window) => {
    hours += window.hours;
    for (let k = 0; k < window.days.length; k += 1)
      expected += (window.days[k] ?? 0) * Math.exp(mean[window.firstCell + k] ?? 0);
  });
  const lift = Math.min(2.5, Math.max(-2.5, Math.log(Math.max(hours, 0.3)) - Math.log(Math.max(expected, 1e-9))));
  const share = levelVariance / (levelVariance + 0.3);
  return mean.map((value) => value + lift * share);
}

function logDensity(hours: number, mean: number, phi: number, extraVariance: number): number {
  if (hours <= idleHours && extraVariance < 0.1) return (-2 * mean) / phi;
  const scale = phi + extraVariance / mean;
  const shape = mean / scale;
  const amount = Math.max(hours, idleHours);
  return (shape - 1) * Math.log(amount / scale) - amount / scale - Math.log(scale) - logGamma(shape);
}

/** How far a stretch of so many days is beyond any season: 0 up to the shortest, 1 from the longest on. */
function yearShare(days: number): number {
  return Math.min(1, Math.max(0, (days - idleYear.fromDays) / (idleYear.fullDays - idleYear.fromDays)));
}
