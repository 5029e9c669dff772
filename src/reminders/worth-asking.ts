import type { Due } from '../domain/results/due.js';
import { lateCost, tooEarlyShare } from '../visits/constants.js';
import type { Foresight } from '../visits/foresight.js';
import { askLevels, wastedTripCost } from './constants.js';

/** What a reading now would save, in whole intervals wasted, on the choice between going on the coming working day and
 *  waiting a week: min(E work, E wait) − E min(work, wait) over equally likely hours H.
 *  work(H): the share of the interval left at H; where that is more than a fifth, a trip for nothing, and the risk stays.
 *  wait(H): the cost of lateness times P(limit and tolerance passed by `waitUntilMs` | H).
 *  @param due          with target, interval and tolerance in hours; without an hours limit a reading tells nothing: 0
 *  @param nowMs        instant of the reading
 *  @param waitUntilMs  end of the working day a week on
 *  @returns >= 0
 *  Source: value of perfect information, Raiffa and Schlaifer (1961), from memory. */
export function worthOfReading(
  due: Pick<Due, 'targetHours' | 'intervalHours' | 'toleranceHours' | 'countedFrom'>,
  foresight: Foresight,
  nowMs: number,
  waitUntilMs: number,
): number {
  const { targetHours, intervalHours } = due;
  if (targetHours === null || intervalHours === null || intervalHours <= 0) return 0;
  const limit = targetHours + (due.toleranceHours ?? 0);
  const levels = Array.from({ length: askLevels }, (_, i) => (i + 0.5) / askLevels);
  const outcomes = foresight.hoursQuantiles(nowMs, levels, due.countedFrom).map((hours) => {
    const left = (targetHours - hours) / intervalHours;
    const wait = lateCost * foresight.pReachedGiven(hours, nowMs, limit, waitUntilMs, due.countedFrom);
    return { work: left > tooEarlyShare ? wastedTripCost + wait : Math.max(0, left), wait };
  });
  const mean = (cost: (o: (typeof outcomes)[number]) => number) =>
    outcomes.reduce((sum, o) => sum + cost(o), 0) / Math.max(1, outcomes.length);
  const blind = Math.min(
    mean((o) => o.work),
    mean((o) => o.wait),
  );
  return Math.max(0, blind - mean((o) => Math.min(o.work, o.wait)));
}
