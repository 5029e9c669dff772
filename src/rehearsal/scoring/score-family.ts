import type { SeasonWord } from '../../domain/machine.js';
import { computeForecast } from '../../forecast/compute.js';
import { type ScoredCase, scoredLevels } from './lay-cases.js';
import { workOutByPencil } from './pencil.js';
import { coverage, crps, mean, pitTenths, type Scored } from './score.js';

/** How the due dates and hours now of one family of machines came out. */
export interface FamilyScore {
  readonly cases: number;
  /** Share of truths within the 50, 80 and 95 % spans of the due date. */
  readonly dueHeld: readonly [number, number, number];
  /** Share of truths within the 80 % span of the hours now. */
  readonly nowHeld: number;
  /** The same with ties shared out: a machine at rest stands just where it was read, whatever the span, and every span holds that. */
  readonly nowHeldShared: number;
  /** Days. */
  readonly crps: number;
  /** The same over the best pencil method's, of a family as a whole. */
  readonly crpsRatio: number;
  /** Mean absolute error of the median due date over the best pencil method's. */
  readonly errorRatio: number;
  /** Brier score of "within 30 days", and the best pencil method's. */
  readonly brier: number;
  readonly pencilBrier: number;
  readonly tenths: readonly number[];
}

/** A meter shows tenths: a truth this near to a quantile (hours) is it. */
const roundingHours = 0.051;
const soonDays = 30;

/** Scores the forecast on cases with a known future, against the best of three pencil methods.
 *  @param cases  at least one, asked at scoredLevels with 30 days as the only probe
 *  @param word   what the owner says of the season */
export function scoreFamily(cases: readonly ScoredCase[], word: SeasonWord): FamilyScore {
  const due: Scored[] = [];
  const now: Scored[] = [];
  const brier: number[] = [];
  const pencil = new Map<string, { misses: number[]; brier: number[] }>();
  for (const { question, openDays, trueDueDays, trueHoursNow } of cases) {
    const answer = computeForecast({ ...question, expect: { season: word } });
    const cut = (days: number | null) => Math.min(days ?? openDays, openDays);
    const truth = cut(trueDueDays);
    due.push({ quantiles: answer.dueDays.map(cut), truth });
    now.push({ quantiles: answer.hoursNow, truth: asShown(answer.hoursNow, trueHoursNow) });
    const came = truth <= soonDays ? 1 : 0;
    brier.push(((answer.dueWithin[0] ?? 0) - came) ** 2);
    for (const { method, dueDays } of workOutByPencil(question)) {
      const kept = pencil.get(method) ?? { misses: [], brier: [] };
      pencil.set(method, kept);
      kept.misses.push(Math.abs(cut(dueDays) - truth));
      kept.brier.push(((dueDays <= soonDays ? 1 : 0) - came) ** 2);
    }
  }
  const best = (of: (kept: { misses: number[]; brier: number[] }) => number[]) =>
    Math.min(...[...pencil.values()].map((kept) => mean(of(kept))));
  const bestMiss = best((kept) => kept.misses);
  const middle = (scoredLevels.length - 1) / 2;
  const ours = mean(due.map((one) => crps(one, scoredLevels)));
  const error = mean(due.map(({ quantiles, truth }) => Math.abs((quantiles[middle] ?? 0) - truth)));
  const held = (share: number) => coverage(due, scoredLevels, share);
  return {
    cases: cases.length,
    dueHeld: [held(0.5), held(0.8), held(0.95)],
    nowHeld: coverage(now, scoredLevels, 0.8),
    nowHeldShared: pitTenths(now, scoredLevels)
      .slice(1, -1)
      .reduce((sum, tenth) => sum + tenth, 0),
    crps: ours,
    crpsRatio: ours / bestMiss,
    errorRatio: error / bestMiss,
    brier: mean(brier),
    pencilBrier: best((kept) => kept.brier),
    tenths: pitTenths(due, scoredLevels),
  };
}

/** The truth as a meter shows it: a quantile that is equal within a tenth stands for it.
 *  @param quantiles  hours */
export function asShown(quantiles: readonly number[], truth: number): number {
  return quantiles.find((one) => Math.abs(one - truth) <= roundingHours) ?? truth;
}
