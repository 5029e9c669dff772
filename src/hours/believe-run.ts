import type { ToldRun } from '../domain/facts.js';
import { likeliestSlip } from './likely-slip.js';

/** Whether a told run counts at once, or only once a person has confirmed it. */
export type RunBelief =
  | { readonly kind: 'believed' }
  | { readonly kind: 'questionable'; readonly question: string; readonly suggestionMinutes: number | null };

/** What is held of runs before any was told: their middle in minutes, the deviation of the log, and how many told runs that is worth.
 *  Common practice, no source: small machines run for half an hour to an hour and a half. */
const before = { minutes: 45, deviation: 0.8, middleWorth: 1, deviationWorth: 3 } as const;
/** Runs up to this long are never asked about, minutes. Common practice, no source. */
const shortRunMinutes = 60;
/** Chance of so long a run below which it is asked about: whatever explains it, and where a slip does. */
const questionBelow = { alone: 0.001, slip: 0.03 } as const;
/** Odds of a slip, against such a run, from which it is asked about. */
const askedFromOdds = 0.1;
/** A slip is named where it makes up at least this share of all that explain the minutes. */
const namedFromShare = 0.3;
/** Nobody meant a run as long as is reached with less than this chance. */
const meantFrom = 0.005;

/** Judges minutes that a person tells of a machine without a meter, against what was told of it before: the log of a run's minutes is
 *  normal, its middle and deviation learnt from the told runs on top of what is usual.
 *  @param told     runs told before
 *  @param minutes  above 0
 *  @returns        questionable where so long a run is next to impossible, or a slip of the hand (a lost point, a digit too many) is not far
 *                  less likely; the likeliest slip is named
 *  Source: normal law with a conjugate prior, Gelman et al. (2013) Bayesian Data Analysis, from memory; the figures common practice, no source. */
export function believeRun(told: readonly ToldRun[], minutes: number): RunBelief {
  if (minutes <= shortRunMinutes) return { kind: 'believed' };
  const logs = told.map((run) => Math.log(run.minutes));
  const n = logs.length;
  const sum = logs.reduce((all, log) => all + log, 0);
  const middle = (before.middleWorth * Math.log(before.minutes) + sum) / (before.middleWorth + n);
  const squares = logs.reduce((all, log) => all + (log - middle) ** 2, before.deviationWorth * before.deviation ** 2);
  const deviation = Math.sqrt((squares / (before.deviationWorth + n)) * (1 + 1 / (before.middleWorth + n)));
  const z = (value: number) => (Math.log(value) - middle) / deviation;
  const density = (value: number) => (value > 0 ? Math.exp(-(z(value) ** 2) / 2) / (value * deviation) : 0);
  const p = pBeyond(z(minutes));
  if (p >= questionBelow.slip) return { kind: 'believed' };
  const slip = likeliestSlip({
    value: minutes,
    density,
    isLikely: (value) => Number.isInteger(value) && pBeyond(z(value)) >= meantFrom,
    lastMeterAhead: null,
    decimals: 0,
    pTenths: 1,
    others: () => [],
  });
  if (p >= questionBelow.alone && (slip === null || slip.odds < askedFromOdds)) return { kind: 'believed' };
  const meant = slip !== null && slip.odds >= askedFromOdds && slip.share >= namedFromShare ? slip.value : null;
  const usual =
    n === 0
      ? 'longer than such machines mostly run'
      : `far longer than the ${Math.round(Math.exp(middle))} min it usually runs`;
  const question = `${minutes} min is ${usual}. ${meant === null ? 'Is it right?' : `Did you mean ${meant} min?`}`;
  return { kind: 'questionable', question, suggestionMinutes: meant };
}

/** Chance that a standard normal lies above z.
 *  Source: logistic approximation, Bowling et al. (2009) J. Ind. Eng. Manag. 2:114-127, from memory: within 0.0002. */
function pBeyond(z: number): number {
  return 1 / (1 + Math.exp(0.07056 * z ** 3 + 1.5976 * z));
}
