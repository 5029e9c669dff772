import { betaI } from '../maths/beta-incomplete.js';

/** One value of an earlier visit: meter hours and what was read, in the unit of the limits. */
export interface TrendPoint {
  readonly hours: number;
  readonly value: number;
}

/** A straight line through values over hours, with what it takes to say how far the next one may lie from it. */
export interface Trend {
  readonly count: number;
  readonly slopePerHour: number;
  readonly atMeanHours: number;
  readonly meanHours: number;
  /** Sum of squared distances of the hours from their mean. */
  readonly spreadOfHours: number;
  /** Standard deviation of the values about the line, with two degrees of freedom spent. */
  readonly residual: number;
}

/** Fewest values of which a line says more than the two ends do. */
const fewestPoints = 3;

/** The straight line of least squares through values over hours.
 *  @param points  finite; any order, several at the same hours allowed
 *  @returns  null for fewer than three points, or where all lie at the same hours
 *  Source: least squares; Draper and Smith, Applied Regression Analysis (1998), chapter 1, from memory. */
export function fitTrend(points: readonly TrendPoint[]): Trend | null {
  const count = points.length;
  if (count < fewestPoints) return null;
  const meanHours = points.reduce((sum, { hours }) => sum + hours, 0) / count;
  const atMeanHours = points.reduce((sum, { value }) => sum + value, 0) / count;
  const spreadOfHours = points.reduce((sum, { hours }) => sum + (hours - meanHours) ** 2, 0);
  if (!(spreadOfHours > 0)) return null;
  const slopePerHour =
    points.reduce((sum, { hours, value }) => sum + (hours - meanHours) * (value - atMeanHours), 0) / spreadOfHours;
  const squares = points.reduce(
    (sum, { hours, value }) => sum + (value - atMeanHours - slopePerHour * (hours - meanHours)) ** 2,
    0,
  );
  return {
    count,
    slopePerHour,
    atMeanHours,
    meanHours,
    spreadOfHours,
    residual: Math.sqrt(squares / (count - 2)),
  };
}

/** The span in which the next value lies with a given chance, if it goes on in a straight line.
 *  @param trend  of fitTrend
 *  @param hours  finite
 *  @param p      chance inside the span, above 0, below 1
 *  @param step   smallest step of the instrument, >= 0: readings that lie on the line by rounding are not surer than that
 *  @returns      low, middle, high in the unit of the values
 *  Source: prediction interval of simple regression, Student t with n - 2 degrees of freedom; step as a rectangle
 *  (JCGM 100:2008 F.2.2.1). */
export function predictValue(
  trend: Trend,
  hours: number,
  p: number,
  step = 0,
): { readonly low: number; readonly middle: number; readonly high: number } {
  const off = hours - trend.meanHours;
  const middle = trend.atMeanHours + trend.slopePerHour * off;
  const deviation = Math.max(trend.residual, step / Math.sqrt(12));
  const half =
    studentQuantile((1 + p) / 2, trend.count - 2) *
    deviation *
    Math.sqrt(1 + 1 / trend.count + off ** 2 / trend.spreadOfHours);
  return { low: middle - half, middle, high: middle + half };
}

/** When the line passes a limit.
 *  @param trend   of fitTrend
 *  @param limits  null where there is none on that side
 *  @param from    hours from which on it counts; passed already there gives `from`
 *  @returns  hours, or null where it stays within its limits for good
 *  Source: common practice, no source. */
export function hoursAtLimit(
  { slopePerHour, atMeanHours, meanHours }: Trend,
  limits: { readonly min: number | null; readonly max: number | null },
  from: number,
): number | null {
  const now = atMeanHours + slopePerHour * (from - meanHours);
  if ((limits.max !== null && now > limits.max) || (limits.min !== null && now < limits.min)) return from;
  const ahead = slopePerHour > 0 ? limits.max : slopePerHour < 0 ? limits.min : null;
  return ahead === null ? null : from + (ahead - now) / slopePerHour;
}

/** The value that a Student t variable stays below with chance `p`, by halving on its distribution.
 *  @param p                 above 0, below 1
 *  @param degreesOfFreedom  >= 1
 *  Source: DLMF 8.17 with x = n/(n + t^2): the distribution is an incomplete beta function. */
export function studentQuantile(p: number, degreesOfFreedom: number): number {
  if (p < 0.5) return -studentQuantile(1 - p, degreesOfFreedom);
  const below = (t: number) => 1 - betaI(degreesOfFreedom / (degreesOfFreedom + t * t), degreesOfFreedom / 2, 0.5) / 2;
  let high = 1;
  while (below(high) < p && high < 1e12) high *= 2;
  let low = 0;
  for (let round = 0; round < 200 && high - low > 1e-14 * high; round += 1) {
    const middle = (low + high) / 2;
    if (below(middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
