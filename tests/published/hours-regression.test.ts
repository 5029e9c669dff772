import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { fitRates, tableWindows } from '../../src/hours/fit.js';

// Quasi-Poisson regression of monthly counts on a yearly wave and a trend, offset log(days): R datasets, Seatbelts[,'DriversKilled'] (Harvey
// and Durbin 1986 JRSS A 149:187-227), fitted by R 4.2.2 glm(quasipoisson); statsmodels and a Newton fit agree to 1e-12.
const { y, days, coef_R, dispersion_pearson_R, fitted_first6 } = z
  .object({
    y: z.array(z.number()),
    days: z.array(z.number()),
    coef_R: z.array(z.number()).length(4),
    dispersion_pearson_R: z.number(),
    fitted_first6: z.array(z.number()).length(6),
  })
  .parse(JSON.parse(readFileSync(new URL('data/quasi-poisson.json', import.meta.url), 'utf8')));

const cells = y.length;
const columns = (t: number) => [1, Math.sin((2 * Math.PI * t) / 12), Math.cos((2 * Math.PI * t) / 12), t / 12];
const linear = (coefficients: readonly number[], t: number) =>
  columns(t).reduce((sum, column, k) => sum + column * (coefficients[k] ?? 0), 0);

/** A prior that leaves intercept, wave and trend free and allows nothing else: the covariance of a regression with wide coefficients. */
function freeLine(sd: number): Float64Array {
  return Float64Array.from({ length: cells * cells }, (_, i) => {
    const [a, b] = [columns(Math.floor(i / cells)), columns(i % cells)];
    return sd ** 2 * a.reduce((sum, one, k) => sum + one * (b[k] ?? 0), 0);
  });
}

const windows = y.map((hours, i) => ({ firstCell: i, days: Float64Array.of(days[i] ?? 0), hours, extraVariance: 0 }));
const table = tableWindows(windows, cells);
const fit = fitRates(table, freeLine(10), new Float64Array(cells), dispersion_pearson_R, 100, null, () => false);
if (fit?.kind !== 'fit') throw new Error('not fitted');

describe('the fit of rates, left free to be a regression', () => {
  test('finds the rates that R finds, month by month', () => {
    for (let t = 0; t < cells; t += 1) {
      // The fit ends once a round moves the log by less than 0.02; what is left is far smaller.
      expect(Math.abs((fit.logRate[t] ?? 0) - linear(coef_R, t))).toBeLessThan(1e-3);
    }
  });

  test('finds its fitted values', () => {
    fitted_first6.forEach((right, t) => {
      const ours = (days[t] ?? 0) * Math.exp(fit.logRate[t] ?? 0);
      expect(Math.abs(ours / right - 1)).toBeLessThan(1e-3);
    });
  });

  test('stays on the line it is allowed', () => {
    // Twelve months apart the wave is the same, so that the trend alone is left.
    const trend = (t: number) => (fit.logRate[t + 12] ?? 0) - (fit.logRate[t] ?? 0);
    for (let t = 0; t < cells - 12; t += 7) expect(trend(t)).toBeCloseTo(coef_R[3] ?? 0, 3);
  });
});
