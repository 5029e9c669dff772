import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { layStrata, sliceWeights } from './strata.js';

function lay(expected: number, relativeVariance: number, ownPhi: number) {
  const mean = new Float64Array(sliceWeights.length);
  const phi = new Float64Array(sliceWeights.length);
  layStrata(mean, phi, 0, expected, relativeVariance, ownPhi);
  return { mean, phi };
}
const sum = (of: (weight: number, k: number) => number) =>
  sliceWeights.reduce((total, weight, k) => total + of(weight, k), 0);

describe('the slices of a doubted rate', () => {
  test('have chances that add up to one', () => {
    expect(sum((weight) => weight)).toBeCloseTo(1, 14);
  });

  test('keep the mean and the variance of the whole', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 500, noNaN: true }),
        fc.double({ min: 0, max: Math.exp(4) - 1, noNaN: true }),
        fc.double({ min: 0.5, max: 22, noNaN: true }),
        (expected, relativeVariance, ownPhi) => {
          const { mean, phi } = lay(expected, relativeVariance, ownPhi);
          expect(sum((weight, k) => weight * (mean[k] ?? 0)) / expected).toBeCloseTo(1, 10);
          // Of each slice: its own mean, and bursts of variance φ·mean.
          const square = sum((weight, k) => weight * ((mean[k] ?? 0) ** 2 + (phi[k] ?? 0) * (mean[k] ?? 0)));
          const right = expected ** 2 * (1 + relativeVariance) + ownPhi * expected;
          expect(square / right).toBeCloseTo(1, 2);
        },
      ),
    );
  });

  test('rise from the slowest rate to the fastest', () => {
    for (const relativeVariance of [0.01, 0.3, 2, 20]) {
      const { mean } = lay(10, relativeVariance, 3);
      for (let k = 1; k < mean.length; k += 1) expect(mean[k]).toBeGreaterThan(mean[k - 1] ?? 0);
    }
  });

  test('are all the same where the rate is known', () => {
    const { mean, phi } = lay(10, 0, 3);
    for (const hours of mean) expect(hours).toBeCloseTo(10, 12);
    for (const hours of phi) expect(hours).toBeCloseTo(3, 10);
  });
});
