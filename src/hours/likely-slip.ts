import type { Spread } from '../domain/results/due.js';
import { meantBy, type Slip, slipWeight } from './slips.js';

/** Another machine whose meter may have been read by mistake. */
export interface OtherMachine {
  readonly name: string;
  /** Hours on its meter at the instant of the reading. */
  readonly hoursNow: Spread<number>;
}

/** What is known of the value that was typed. */
export interface Typed {
  readonly value: number;
  /** Chance per unit of a value as it would be typed; 0 where it cannot be. */
  readonly density: (value: number) => number;
  /** Whether a value would be believed where nothing else explains it: nobody means what is next to impossible. */
  readonly isLikely: (value: number) => boolean;
  /** What the meter before the one in use was ahead of it when it went; null where there is none. */
  readonly lastMeterAhead: number | null;
  /** Digits that the meter shows behind the point: nobody read more. */
  readonly decimals: number;
  /** How likely a value with digits behind the point is, against one without, where nobody looks at the density: 0 to 1. */
  readonly pTenths: number;
  /** Asked only when the value is in doubt: finding them out costs. */
  readonly others: () => readonly OtherMachine[];
}

/** The slip that explains a value best. */
export interface LikelySlip {
  readonly slip: Slip;
  /** What was meant; null where the reading belongs to another machine. */
  readonly value: number | null;
  /** The other machine's name. */
  readonly machine: string | null;
  /** Odds of any slip against the value as typed, once both are seen: above 1 a slip is likelier. Infinite where the value cannot be. */
  readonly odds: number;
  /** Share of this slip in all slips that explain the value, 0 to 1. */
  readonly share: number;
}

/** How often a hand slips when it copies a number. Common practice, no source: about one in a hundred. */
const pSlip = 0.01;
/** Deviations between the 10 % and the 90 % quantile of a bell curve. Source: any table of the normal distribution. */
const deviationsWithin = 2.563;
/** No other machine's hours are known better than this, hours. */
const leastDeviation = 0.3;

/** The likeliest slip behind a value: each candidate by how often its slip happens times the chance of landing there.
 *  @param typed  value >= 0
 *  @returns      null where no slip explains it
 *  Source: Bayes' rule; frequencies common practice, no source. */
export function likeliestSlip(typed: Typed): LikelySlip | null {
  const { value, density, lastMeterAhead } = typed;
  const found: { slip: Slip; value: number | null; machine: string | null; score: number }[] = [];
  for (const { hours, slip, weight } of meantBy(value).filter((one) => decimalsOf(one.hours) <= typed.decimals)) {
    const look = decimalsOf(hours) > 0 ? typed.pTenths : 1;
    found.push({ slip, value: hours, machine: null, score: weight * look * density(hours) });
  }
  if (lastMeterAhead !== null && value - lastMeterAhead >= 0) {
    const meant = Math.round((value - lastMeterAhead) * 100) / 100;
    found.push({
      slip: 'last-meter',
      value: meant,
      machine: null,
      score: slipWeight('last-meter', 1) * density(meant),
    });
  }
  const others = typed.others();
  for (const { name, hoursNow } of others) {
    const deviation = Math.max(leastDeviation, (hoursNow.p90 - hoursNow.p10) / deviationsWithin);
    const z = (value - hoursNow.p50) / deviation;
    const near = Math.exp((-z * z) / 2) / (deviation * Math.sqrt(2 * Math.PI));
    found.push({
      slip: 'other-machine',
      value: null,
      machine: name,
      score: slipWeight('other-machine', others.length) * near,
    });
  }
  const likely = found.filter((one) => one.value === null || (one.score > 0 && typed.isLikely(one.value)));
  const total = likely.reduce((sum, one) => sum + one.score, 0);
  const [best] = likely.sort((a, b) => b.score - a.score);
  if (best === undefined || !(best.score > 1e-9)) return null;
  const asTyped = (1 - pSlip) * density(value);
  return {
    ...best,
    odds: asTyped > 0 ? (pSlip * total) / asTyped : Number.POSITIVE_INFINITY,
    share: best.score / total,
  };
}

/** Digits behind the point of hours as a person types them, 0 to 2. */
export function decimalsOf(hours: number): number {
  const hundredths = Math.round(hours * 100);
  return hundredths % 100 === 0 ? 0 : hundredths % 10 === 0 ? 1 : 2;
}
