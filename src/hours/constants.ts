import type { SeasonWord } from '../domain/machine.js';

/**
 * Constants of the hours model. Origin of all but the season peaks: tuned on one half of a collection of real and simulated
 * run-time series, scored on the other half, units apart. Days are days, hours are meter hours.
 */
export const daysPerYear = 365.25;
/** Days of one cell of constant rate. */
export const cellDays = 15;
/** History that is fitted, days before the newest reading; the newest reading before that is kept where few are left. */
export const historyDays = 5 * daysPerYear;
/** Days of fine cells after the last evidence. */
export const fineAheadDays = 645;
/** Coarser cells after those: [count, days each]; beyond them the last pace holds. */
export const coarseAhead: readonly (readonly [number, number])[] = [
  [8, 45],
  [6, 90],
  [6, 180],
  [5, 360],
];
/** Hours a year where the owner does not know. */
export const hoursPerYearUnknown = 150;
/** Standard deviation of the log level: σ0 with the owner's hours a year, and without. */
export const levelSd = { told: 0.4, untold: 1.1 } as const;
/** Share of half the season's variance that the mean of the log rate gives up. */
export const seasonMeanShare = 0.4;
/** Length of the yearly kernel (in its own periodic measure) and its memory in days. */
export const yearly = { length: 0.75, memoryDays: 5000 } as const;
/** Slow drift of the level: standard deviation of the log, memory in days. */
export const drift = { sd: 0.27, memoryDays: 500 } as const;
/** How far a rate wanders from its season's course: σs, and the share of the drift's variance. `calm`, `loose`: an even year; `steady`: one that
 *  a pump or a daily round keeps; `seasonal`, `told`: a season that the readings suggest, that the owner names; `shut`: all but no use out of
 *  season. The shares, `steady` and `shut` were chosen on seeds 11 and 12 of the scored families and of eight more kinds of invented owner, and
 *  held on other seeds. */
export const wanders = {
  steady: { seasonSd: 0.08, driftShare: 0.137 },
  calm: { seasonSd: 0.18, driftShare: 1 },
  loose: { seasonSd: 0.43, driftShare: 1 },
  seasonal: { seasonSd: 0.6, driftShare: 1 },
  told: { seasonSd: 0.55, driftShare: 1 },
  shut: { seasonSd: 0.6, driftShare: 0.2 },
} as const;
/** One burstiness φ in hours (variance over mean) and its prior weight. */
export interface Burst {
  readonly phi: number;
  readonly prior: number;
}
/** Burstiness by what a setting is for; the weights of a list add up to 1. `fine`: the same hours every day; `sharp`: a season that opens and
 *  shuts. Each list starts at the one that is fitted first; its neighbours begin from the answer. A burstiness of 60 h, for whole spells of work,
 *  made spans hold a little oftener where a machine is lent out for weeks, but dates worse and idle years too ready to end. */
export const burstPriors = {
  usual: [
    { phi: 3, prior: 0.4 },
    { phi: 1, prior: 0.3 },
    { phi: 8, prior: 0.18 },
    { phi: 22, prior: 0.12 },
  ],
  fine: [
    { phi: 3, prior: 0.35 },
    { phi: 1, prior: 0.4 },
    { phi: 0.3, prior: 0.25 },
  ],
  sharp: [
    { phi: 3, prior: 0.5 },
    { phi: 8, prior: 0.3 },
    { phi: 22, prior: 0.2 },
  ],
} as const satisfies Readonly<Record<string, readonly Burst[]>>;
/** Sharpness of a season's peak. */
export const peakSharpness = 0.85;
/** Day of the year of each word's peaks, north of the equator; half a year later in the south. Common practice, no source. */
export const seasonPeaks: Readonly<Record<Exclude<SeasonWord, 'unknown'>, readonly number[]>> = {
  even: [],
  summer: [190],
  winter: [15],
  'spring-autumn': [115, 285],
  spring: [100],
  autumn: [280],
};
/** Least mean of a window in its variance, and what rounding of a meter to tenths adds (h²). */
export const windowNoise = { leastMean: 0.02, rounding: 0.004 } as const;
/** Hours of a window up to which it counts as no use at all. */
export const idleHours = 0.02;
/** Days of a window without use: up to the first a season may be the reason, from the second on it is none; in between more and more surely not, so
 *  that no forecast jumps from one day to the next. */
export const idleYear = { fromDays: 240, fullDays: 360 } as const;
/** Fixed-point rounds of the fit, the change of the log rate that ends them, after how many a poor setting is given up, and how much of the log
 *  evidence a round before that may still gain. */
export const rounds = { most: 10, fullSteps: 6, enough: 0.02, beforeDropping: 3, gainARound: 4 } as const;
/** Settings below this share of the weight are left out of the prediction. */
export const leastWeight = 0.003;
/** Where the doubt of a rate is cut into slices, standard deviations of its log: six slices lie off paths of the same model by at most 0.014 where
 *  three lay off by 0.053, and cost 5 to 60 % more time than three nodes, none where there are many readings. */
export const strataCuts: readonly number[] = [-1.7, -0.85, 0, 0.85, 1.7];
/** Readings are spaced: at least this many days apart and at most this many kept. */
export const spacing = { days: 3, most: 60 } as const;
/** "About 400 h": standard deviation as a share of the hours, and at least so many hours. Common practice, no source. */
export const aboutSd = { share: 0.05, least: 3 } as const;
/** Meter hours per hour of the feed, log scale: median and standard deviation by what the meter counts. The first from measured
 *  machines, the second common practice, no source. */
export const ratioPrior = {
  'engine-speed': { median: 0.85, sd: 0.22 },
  clock: { median: 1, sd: 0.1 },
} as const;
/** The rate of a day without feed leans on covered days this near (triangular weights), against so many days of the fitted rate. */
export const nearby = { days: 45, fittedDays: 2 } as const;
/** Relative variance of the hours in gaps of the feed that nearby covered days do not explain. */
export const gapRelativeVariance = 0.06;
