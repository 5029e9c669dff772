import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fitRates, tableWindows } from './fit.js';
import { type Mixture, mixtureQuantiles, pAtLeast, pUseAtLeast } from './law.js';

// φ is a list of constants in hours, so that a whole forecast cannot be scaled; its two halves can: the law of use, and the fit.
const factor = fc.double({ min: 0.05, max: 20, noNaN: true });
const hours = fc.double({ min: 0.1, max: 300, noNaN: true });
const phis = fc.double({ min: 0.5, max: 25, noNaN: true });

describe('hours counted in another unit, bursts with them', () => {
  test('leave the chance of a use as it is', () => {
    fc.assert(
      fc.property(hours, hours, phis, factor, (amount, mean, phi, by) => {
        expect(pUseAtLeast(by * amount, by * mean, by * phi)).toBeCloseTo(pUseAtLeast(amount, mean, phi), 9);
      }),
    );
  });

  test('leave the chances of a mixture, and scale its quantiles', () => {
    const mixture = (by: number): Mixture => ({
      starts: [{ weight: 1, hours: 400 * by, reach: 0 }],
      weight: Float64Array.of(0.5, 0.3, 0.2),
      mean: Float64Array.of(12 * by, 30 * by, 4 * by),
      phi: Float64Array.of(3 * by, 8 * by, by),
      mostHours: 2000 * by,
    });
    fc.assert(
      fc.property(hours, factor, (rise, by) => {
        expect(pAtLeast(mixture(by), (400 + rise) * by)).toBeCloseTo(pAtLeast(mixture(1), 400 + rise), 9);
      }),
    );
    const levels = [0.1, 0.5, 0.9];
    const plain = mixtureQuantiles(mixture(1), levels);
    mixtureQuantiles(mixture(4), levels).forEach((quantile, i) => {
      // Both are searched for to within 0.01 h.
      expect(Math.abs(quantile / 4 - (plain[i] ?? 0))).toBeLessThan(0.015);
    });
  });

  test('move the fitted log rate by the log of the factor, and the evidence of every φ alike', () => {
    const used = [14, 3, 22, 41, 9, 17, 30, 6];
    const cells = used.length;
    const kernel = Float64Array.from({ length: cells * cells }, (_, i) => {
      const apart = Math.abs(Math.floor(i / cells) - (i % cells));
      return 1.2 + 0.3 * Math.exp(-apart / 3);
    });
    const fitOf = (by: number, phi: number) => {
      const windows = used.map((one, i) => ({
        firstCell: i,
        days: Float64Array.of(15),
        hours: one * by,
        extraVariance: 0,
      }));
      const mean = new Float64Array(cells).fill(Math.log(0.4 * by));
      const fit = fitRates(tableWindows(windows, cells), kernel, mean, phi * by, 1.21, null, () => false);
      if (fit?.kind !== 'fit') throw new Error('not fitted');
      return fit;
    };
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 4, noNaN: true }), (by) => {
        const [plain, scaled] = [fitOf(1, 3), fitOf(by, 3)];
        scaled.logRate.forEach((f, c) => {
          // What a meter rounds (0.004 h²) does not scale.
          expect(f - (plain.logRate[c] ?? 0)).toBeCloseTo(Math.log(by), 3);
        });
        const gained = scaled.evidence - plain.evidence;
        expect(fitOf(by, 8).evidence - fitOf(1, 8).evidence).toBeCloseTo(gained, 2);
      }),
      { numRuns: 30 },
    );
  });
});
