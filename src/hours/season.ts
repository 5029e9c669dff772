import { dayMs } from '../domain/day.js';
import type { SeasonWord } from '../domain/machine.js';
import { daysPerYear, peakSharpness, seasonPeaks } from './constants.js';

/** A year's course of use: the log rate is lifted by `height` around the peaks. */
export interface Season {
  readonly word: Exclude<SeasonWord, 'unknown'>;
  /** A, 0 for an even year. */
  readonly height: number;
}

/** 1 January 2000 in days since 1970: real calendar days, so that four years are a whole number of years. */
const epochDay = 10_957;

/** exp(shape): the factor on the mean rate, 1 on average over a year.
 *  shape(t) = A·b(t) − log mean(exp(A·b)), b(t) = Σ over peaks of exp(s·(cos(2π (t − peak)/365.25) − 1)).
 *  @param season      word and height
 *  @param hemisphere  half a year's shift in the south
 *  @returns           a function of an instant in UTC milliseconds */
export function seasonFactor(season: Season, hemisphere: 'north' | 'south'): (atMs: number) => number {
  const peaks = seasonPeaks[season.word];
  if (season.height === 0 || peaks.length === 0) return () => 1;
  const shift = hemisphere === 'south' ? daysPerYear / 2 : 0;
  const turn = (2 * Math.PI) / daysPerYear;
  const raised = (yearDay: number) => {
    let lift = 0;
    for (const peak of peaks) lift += Math.exp(peakSharpness * (Math.cos(turn * (yearDay - peak - shift)) - 1));
    return Math.exp(season.height * lift);
  };
  // The course is smooth and periodic, so that equal steps give its mean to machine precision.
  const steps = 96;
  let mean = 0;
  for (let i = 0; i < steps; i += 1) mean += raised((daysPerYear * i) / steps) / steps;
  return (atMs) => raised(atMs / dayMs - epochDay + 1) / mean;
}
