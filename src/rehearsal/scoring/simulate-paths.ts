import type { Random } from '../../domain/outside.js';
import type { Evidence } from '../../hours/evidence.js';
import { tableWindows } from '../../hours/fit.js';
import { type Fitted, fitSettings } from '../../hours/fit-settings.js';
import { covariances, tableKernel } from '../../hours/kernel.js';
import { settingsFor } from '../../hours/settings.js';
import { layTimeline } from '../../hours/timeline.js';
import { cutWindows, spaceReadings } from '../../hours/windows.js';
import { factorCholesky, solveLower } from '../../maths/cholesky.js';
import { dot } from '../../maths/dense.js';
import { gauss } from './invented-owners.js';

/** What one belief says of the log rate ahead, whole: a Gaussian vector over the cells after the newest reading. */
interface RateLaw {
  /** Weights of all laws add up to 1. */
  readonly weight: number;
  /** φ, hours: bursts have the mean φ/2. */
  readonly phi: number;
  /** Log of hours a day in each cell. */
  readonly mean: Float64Array;
  /** Cells × cells, row after row. */
  readonly covariance: Float64Array;
}

/** The model of hours as the fit leaves it, with nothing put together yet. */
export interface PathModel {
  /** The newest reading. */
  readonly originMs: number;
  readonly originHours: number;
  /** Ends of the cells in days after the newest reading, ascending. */
  readonly ends: Float64Array;
  readonly laws: readonly RateLaw[];
}

/** The fit alone; from it the law of the log rate in all cells up to so many days after the newest reading. */
type FittedPaths = (days: number) => PathModel;

/** Fits as `estimateHours` does and goes no further.
 *  @param evidence  at least one reading; no feed and no time told to be without use, where the closed form leans on neighbouring days
 *  @param nowMs     evidence later than now is left out
 *  @throws          RangeError where there is a feed, or no reading */
export function fitForPaths(evidence: Evidence, nowMs: number): FittedPaths {
  const timeline = layTimeline(evidence, nowMs);
  if (timeline === null || timeline.knownSpans.length > 0) throw new RangeError('paths are drawn from readings alone');
  const windows = cutWindows(evidence, timeline, spaceReadings(timeline), { mean: 1, sd: 0, windows: 0 });
  const table = tableWindows(windows, timeline.fitCells);
  const fitted = fitSettings(evidence, timeline, table, settingsFor(evidence.expect, windows.length > 0));
  const kernels = tableKernel(timeline);
  return (days) => {
    const { origin, edges, pastCells, fitCells } = timeline;
    let last = pastCells;
    while (last < edges.length - 2 && (edges[last + 1] ?? 0) < days) last += 1;
    const ahead = { from: pastCells, to: last + 1 };
    const lawOf = ({ weight, setting, phi, mean, fit }: Fitted): RateLaw => {
      const own = covariances(kernels, setting, ahead, ahead);
      const middle = mean.slice(ahead.from, ahead.to);
      if (fit === null) return { weight, phi, mean: middle, covariance: own };
      const cross = covariances(kernels, setting, ahead, { from: 0, to: fitCells });
      const n = windows.length;
      const cells = middle.length;
      // Row c: what each window says of cell c (K Gᵀ), then L⁻¹ of it.
      const said = new Float64Array(cells * n);
      for (let c = 0; c < cells; c += 1) {
        windows.forEach((window, i) => {
          const at = c * fitCells + window.firstCell;
          said[c * n + i] = dot(cross, at, fit.slopes, table.starts[i] ?? 0, window.days.length);
        });
        middle[c] = (middle[c] ?? 0) + dot(said, c * n, fit.pull, 0, n);
        solveLower(fit.factor, n, said, c * n);
      }
      for (let c = 0; c < cells; c += 1) {
        for (let d = 0; d < cells; d += 1)
          own[c * cells + d] = (own[c * cells + d] ?? 0) - dot(said, c * n, said, d * n, n);
      }
      return { weight, phi, mean: middle, covariance: own };
    };
    return {
      originMs: origin.atMs,
      originHours: origin.hours,
      ends: edges.slice(pastCells + 1, last + 2),
      laws: fitted.map(lawOf),
    };
  };
}

/** Draws paths of use and sees when each first reaches a target: a belief by its weight, the log rate of all cells as one Gaussian vector,
 *  bursts of exponential size one by one at their instants. No moment is matched and no law put in the place of another; a rate is cut
 *  at 24 h a day.
 *  @param targetHours  on the meter; at or below the newest reading gives 0
 *  @param paths        how many, > 0
 *  @param random       decides everything
 *  @returns            days after the newest reading, one a path; infinite where it is not reached by the last cell's end
 *  Source: Glasserman 2004, Monte Carlo Methods in Financial Engineering, 2.3.3 and 3.2 (from memory). */
export function drawFirstPassages(model: PathModel, targetHours: number, paths: number, random: Random): Float64Array {
  const { ends, laws } = model;
  const cells = ends.length;
  const amount = targetHours - model.originHours;
  const passages = new Float64Array(paths).fill(Number.POSITIVE_INFINITY);
  if (amount <= 0) return passages.fill(0);
  const normal = new Float64Array(cells);
  let done = 0;
  let weightLeft = 1;
  laws.forEach((law, i) => {
    // As many paths as the weight says, rounded so that the whole number comes out: no chance is spent on it.
    const isLast = i === laws.length - 1;
    const share = isLast ? paths - done : Math.round(((paths - done) * law.weight) / Math.max(law.weight, weightLeft));
    weightLeft -= law.weight;
    if (share === 0) return;
    const factor = rootOf(law.covariance, cells);
    for (let path = done; path < done + share; path += 1) {
      for (let c = 0; c < cells; c += 1) normal[c] = gauss(random);
      passages[path] = passOne(law, factor, normal, ends, amount, random);
    }
    done += share;
  });
  return passages;
}

function passOne(
  { phi, mean }: RateLaw,
  factor: Float64Array,
  normal: Float64Array,
  ends: Float64Array,
  amount: number,
  random: Random,
): number {
  const cells = ends.length;
  let hours = 0;
  let from = 0;
  for (let c = 0; c < cells; c += 1) {
    const until = ends[c] ?? from;
    const logRate = (mean[c] ?? 0) + dot(factor, c * cells, normal, 0, c + 1);
    const burstsADay = (2 * Math.min(24, Math.exp(logRate))) / phi;
    for (let day = from + wait(random) / burstsADay; day < until; day += wait(random) / burstsADay) {
      hours += (phi / 2) * wait(random);
      if (hours >= amount) return day;
    }
    from = until;
  }
  return Number.POSITIVE_INFINITY;
}

/** Exponential number of mean 1. */
function wait(random: Random): number {
  return -Math.log(1 - random());
}

function rootOf(covariance: Float64Array, cells: number): Float64Array {
  const factor = Float64Array.from(covariance);
  // Neighbouring cells are all but equal: a hair on the diagonal keeps the root real.
  for (let c = 0; c < cells; c += 1) factor[c * cells + c] = (factor[c * cells + c] ?? 0) + 1e-9;
  if (!factorCholesky(factor, cells)) throw new RangeError('the covariance ahead is not positive');
  return factor;
}

/** Share of paths that have reached the target so many days after an instant.
 *  @param passages  from drawFirstPassages
 *  @param fromDays  of that instant, after the newest reading */
export function shareBy(passages: Float64Array, fromDays: number, days: number): number {
  let reached = 0;
  for (const day of passages) if (day <= fromDays + days) reached += 1;
  return reached / passages.length;
}
