import { describe, expect, test } from 'vitest';
import { fitTrend, predictValue, studentQuantile } from '../../src/inspection/trend.js';

/** NIST Statistical Reference Datasets, linear regression, "Norris" (ozone monitors, 36 pairs y, x), with its certified
 *  values; written down from memory. */
const norris: readonly (readonly [number, number])[] = [
  [0.1, 0.2],
  [338.8, 337.4],
  [118.1, 118.2],
  [888.0, 884.6],
  [9.2, 10.1],
  [228.1, 226.5],
  [668.5, 666.3],
  [998.5, 996.3],
  [449.1, 448.6],
  [778.9, 777.0],
  [559.2, 558.2],
  [0.3, 0.4],
  [0.1, 0.6],
  [778.1, 775.5],
  [668.8, 666.9],
  [339.3, 338.0],
  [448.9, 447.5],
  [10.8, 11.6],
  [557.7, 556.0],
  [228.3, 228.1],
  [998.0, 995.8],
  [888.8, 887.6],
  [119.6, 120.2],
  [0.3, 0.3],
  [0.6, 0.3],
  [557.6, 556.8],
  [339.3, 339.1],
  [888.0, 887.2],
  [998.5, 999.0],
  [778.9, 779.0],
  [10.2, 11.1],
  [117.6, 118.3],
  [228.9, 229.2],
  [668.4, 669.1],
  [449.2, 448.9],
  [0.2, 0.5],
];

describe('a trend agrees with a published regression', () => {
  // Its pairs are y first, then x; the certified line is y on x.
  const trend = fitTrend(norris.map(([y, x]) => ({ hours: x, value: y })));

  test('slope, intercept and residual deviation are the certified ones to nine digits', () => {
    if (trend === null) throw new Error('36 points make a line');
    expect(trend.slopePerHour / 1.00211681802045).toBeCloseTo(1, 9);
    expect(trend.atMeanHours - trend.slopePerHour * trend.meanHours).toBeCloseTo(-0.262323073774029, 9);
    expect(trend.residual / 0.884796396144373).toBeCloseTo(1, 9);
  });

  test('the certified deviations of slope and intercept follow from what the line keeps', () => {
    if (trend === null) throw new Error('36 points make a line');
    const ofSlope = trend.residual / Math.sqrt(trend.spreadOfHours);
    expect(ofSlope / 0.000429796848199937).toBeCloseTo(1, 9);
    const ofIntercept = trend.residual * Math.sqrt(1 / trend.count + trend.meanHours ** 2 / trend.spreadOfHours);
    expect(ofIntercept / 0.232818234301152).toBeCloseTo(1, 9);
    // The band of a single value at x = 0: residual and intercept together, by Student t with 34 degrees of freedom.
    const { middle, high } = predictValue(trend, 0, 0.95);
    expect(high - middle).toBeCloseTo(2.0322445 * Math.hypot(0.884796396144373, 0.232818234301152), 5);
  });

  test('Student t is that of the tables (two-sided 95 %, from memory)', () => {
    const table = [
      [1, 12.706],
      [2, 4.303],
      [3, 3.182],
      [5, 2.571],
      [10, 2.228],
      [30, 2.042],
    ] as const;
    for (const [freedom, t] of table) expect(studentQuantile(0.975, freedom)).toBeCloseTo(t, 3);
  });
});
