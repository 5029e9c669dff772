import { dayMs } from '../domain/day.js';
import { type MeterHours, meterHours } from '../domain/meter-hours.js';
import type { CountedFrom } from '../domain/results/due.js';
import { hoursQuantiles } from './at.js';
import type { HoursEstimate } from './estimate.js';
import { type Mixture, mixtureAt, mixtureQuantiles, pUseAtLeast } from './law.js';
import { remember } from './remember.js';
import { hoursCountedFrom } from './since.js';

/** Questions about one estimate that come again and again within one look: each is answered once. */
export interface Foreseen {
  /** As `hoursQuantiles` of at.ts.
   *  @param counted  hours as counted from an instant (since.ts): what is said of it and the use since then; null: the meter's hours */
  hoursQuantiles(atMs: number, levels: readonly number[], counted?: CountedFrom | null): MeterHours[];
  /** P(Y(at) >= target) as if the meter were read as `hoursNow` at `nowMs`: the beliefs and slices of the estimate are weighted by how
   *  well they foresaw that reading, and the use from then on starts at it. Costs no fit; says what an answer would be worth.
   *  @param hoursNow     finite; taken as at least the newest reading
   *  @param nowMs        at or after the newest reading
   *  @param targetHours  at or below hoursNow gives 1
   *  @param atMs         at or before nowMs: reached or not is known, 1 or 0
   *  @param counted      all hours are as counted from an instant; null: the meter's hours
   *  @returns            0 to 1 */
  pReachedGiven(
    hoursNow: number,
    nowMs: number,
    targetHours: number,
    atMs: number,
    counted?: CountedFrom | null,
  ): number;
}

/** Below this share of the weight a part is left out once a reading is supposed. */
const leastSupposed = 1e-4;

interface Answers {
  readonly mixture: (atMs: number) => Mixture;
  readonly quantiles: Map<string, MeterHours[]>;
  readonly supposed: Map<string, Float64Array>;
}

/** Answers from one estimate, kept as long as the object lives.
 *  Source: own design; the weights are Bayes' rule on the parts of the mixture. */
export function foresee(estimate: HoursEstimate): Foreseen {
  const byStart = new Map<string, Answers>();
  const answersFor = (counted: CountedFrom | null) =>
    remember(byStart, counted === null ? '' : `${counted.atMs} ${counted.hours}`, (): Answers => {
      const law = counted === null ? (atMs: number) => mixtureAt(estimate, atMs) : hoursCountedFrom(estimate, counted);
      const mixtures = new Map<number, Mixture>();
      return {
        mixture: (atMs) => remember(mixtures, atMs, () => law(atMs)),
        quantiles: new Map(),
        supposed: new Map(),
      };
    });
  return {
    hoursQuantiles(atMs, levels, counted = null) {
      const { mixture, quantiles } = answersFor(counted);
      const find = () =>
        counted === null
          ? hoursQuantiles(estimate, atMs, levels)
          : mixtureQuantiles(mixture(atMs), levels).map(meterHours);
      return [...remember(quantiles, `${atMs} ${levels.join(' ')}`, find)];
    },
    pReachedGiven(hoursNow, nowMs, targetHours, atMs, counted = null) {
      if (targetHours <= hoursNow) return 1;
      if (atMs <= nowMs) return 0;
      if (targetHours > hoursNow + (24 * (atMs - nowMs)) / dayMs) return 0;
      const { mixture, supposed } = answersFor(counted);
      const now = mixture(nowMs);
      const later = mixture(atMs);
      const weights = remember(supposed, `${hoursNow} ${nowMs}`, () =>
        supposeRead(now, hoursNow, Math.max(0, hoursNow - (counted?.hours ?? estimate.timeline.origin.hours))),
      );
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
