import { describe, expect, test } from 'vitest';
import { fitRates, tableWindows } from '../../src/hours/fit.js';

// R datasets, `discoveries` (The World Almanac and Book of Facts 1975, via McNeil 1977): great inventions a year, 1860 to 1959.
const discoveries = [
  5, 3, 0, 2, 0, 3, 2, 3, 6, 1, 2, 1, 2, 1, 3, 3, 3, 5, 2, 4, 4, 0, 2, 3, 7, 12, 3, 10, 9, 2, 3, 7, 7, 2, 3, 3, 6, 2, 4,
  3, 5, 2, 2, 4, 0, 4, 2, 5, 2, 3, 3, 6, 5, 8, 3, 6, 6, 0, 5, 2, 2, 2, 6, 3, 4, 4, 2, 2, 4, 7, 5, 3, 3, 0, 2, 2, 2, 1,
  3, 4, 2, 2, 1, 1, 1, 2, 1, 4, 4, 3, 2, 1, 4, 1, 1, 1, 0, 0, 2, 0,
];
// R 4.2.2, glm(y ~ 1, family = quasipoisson): intercept log mean(y), agreed by statsmodels and a Newton fit.
const interceptOfR = 1.1314021114911;

const levelOnly = (cells: number, sd: number) => new Float64Array(cells * cells).fill(sd ** 2);

describe('the fit of rates with a flat year, no drift and a free level', () => {
  const windows = discoveries.map((hours, i) => ({ firstCell: i, days: Float64Array.of(1), hours, extraVariance: 0 }));
  const table = tableWindows(windows, windows.length);
  const cells = windows.length;

  test('finds the rate of the quasi-Poisson regression of R', () => {
    const fit = fitRates(table, levelOnly(cells, 30), new Float64Array(cells), 1.36, 900, null, () => false);
    expect(fit?.logRate[0]).toBeDefined();
    expect(Math.abs((fit?.logRate[0] ?? 0) - interceptOfR)).toBeLessThan(0.003);
  });

  test('is drawn towards what the owner expects as far as they are sure of it', () => {
    const fit = fitRates(table, levelOnly(cells, 0.05), new Float64Array(cells), 1.36, 0.0025, null, () => false);
    expect(fit?.logRate[0]).toBeGreaterThan(0.1);
    expect(fit?.logRate[0]).toBeLessThan(interceptOfR - 0.1);
  });
});
