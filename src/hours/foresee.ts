import { dayMs } from '../domain/day.js';
import { hoursQuantiles } from './at.js';
import type { HoursEstimate } from './estimate.js';
import { type Mixture, mixtureAt, pUseAtLeast } from './law.js';
import { remember } from './remember.js';

/** Questions about one estimate that come again and again within one look: each is answered once. */
export interface Foreseen {
  /** As `hoursQuantiles` of at.ts. */
  hoursQuantiles(atMs: number, levels: readonly number[]): number[];
  /** P(Y(at) >= target) as if the meter were read as `hoursNow` at `nowMs`: the beliefs and nodes of the estimate are weighted by how
   *  well they foresaw that reading, and the use from then on starts at it. Costs no fit; says what an answer would be worth.
   *  @param hoursNow     finite; taken as at least the newest reading
   *  @param nowMs        at or after the newest reading
   *  @param targetHours  at or below hoursNow gives 1
   *  @param atMs         at or before nowMs: reached or not is known, 1 or 0
   *  @returns            0 to 1 */
  pReachedGiven(hoursNow: number, nowMs: number, targetHours: number, atMs: number): number;
}

/** Below this share of the weight a part is left out once a reading is supposed. */
const leastSupposed = 1e-4;

/** Answers from one estimate, kept as long as the object lives.
 *  Source: own design; the weights are Bayes' rule on the parts of the mixture. */
export function foresee(estimate: HoursEstimate): Foreseen {
  const mixtures = new Map<number, Mixture>();
  const quantiles = new Map<string, number[]>();
  const supposed = new Map<string, Float64Array>();
  const mixture = (atMs: number) => remember(mixtures, atMs, () => mixtureAt(estimate, atMs));
  return {
    hoursQuantiles(atMs, levels) {
      return [...remember(quantiles, `${atMs} ${levels.join(' ')}`, () => hoursQuantiles(estimate, atMs, levels))];
    },
    pReachedGiven(hoursNow, nowMs, targetHours, atMs) {
      if (targetHours <= hoursNow) return 1;
      if (atMs <= nowMs) return 0;
      if (targetHours > hoursNow + (24 * (atMs - nowMs)) / dayMs) return 0;
      const now = mixture(nowMs);
      const later = mixture(atMs);
      const rise = Math.max(0, hoursNow - estimate.timeline.origin.hours);
      const weights = remember(supposed, `${hoursNow} ${nowMs}`, () => supposeRead(now, hoursNow, rise));
      let p = 0;
      for (let i = 0; i < weights.length; i += 1) {
        const weight = weights[i] ?? 0;
        if (weight < leastSupposed) continue;
        const mean = Math.max(0, (later.mean[i] ?? 0) - (now.mean[i] ?? 0));
        p += weight * pUseAtLeast(targetHours - hoursNow, mean, later.phi[i] ?? 1);
      }
      return Math.min(1, p);
    },
  };
}

/** Weights of the parts once a reading is known: each by the chance it gave to a rise near the one read, within half an hour or 2 %.
 *  @returns  adding up to 1 */
function supposeRead(now: Mixture, hoursNow: number, rise: number): Float64Array {
  const reach = Math.max(0.5, 0.02 * rise);
  const weights = now.weight.slice();
  let total = 0;
  for (let i = 0; i < weights.length; i += 1) {
    const [mean, phi] = [now.mean[i] ?? 0, now.phi[i] ?? 1];
    let near = 0;
    for (const start of now.starts) {
      const amount = hoursNow - start.hours;
      near += start.weight * (pUseAtLeast(amount - reach, mean, phi) - pUseAtLeast(amount + reach, mean, phi));
    }
    weights[i] = (weights[i] ?? 0) * (Math.max(0, near) + 1e-12);
    total += weights[i] ?? 0;
  }
  return total > 0 ? weights.map((weight) => weight / total) : now.weight;
}
