import { describe, expect, test } from 'vitest';
import { bridgeQuantiles, pBridgeAtLeast } from '../../src/hours/bridge.js';
import { betaI } from '../../src/maths/beta-incomplete.js';
import { logGamma } from '../../src/maths/log-gamma.js';

/** Simpson's rule. */
function integrate(f: (x: number) => number, low: number, high: number, steps = 4000): number {
  const width = (high - low) / steps;
  let sum = f(low) + f(high);
  for (let i = 1; i < steps; i += 1) sum += (i % 2 === 1 ? 4 : 2) * f(low + i * width);
  return (sum * width) / 3;
}

describe('hours between two readings', () => {
  // Gamma bridge: of a rise R the first share is Beta(a, b); mean a/(a + b), variance ab/((a + b)²(a + b + 1)). DLMF 5.12.1.
  test.each([
    [2, 3],
    [4.5, 1.5],
    [20, 35],
  ])('have the mean and variance of a beta share with %d and %d, by quadrature of our own chances', (a, b) => {
    const bridge = { lowHours: 100, highHours: 130, parts: [{ weight: 1, a, b }] };
    // E[Y] = low + ∫ P(Y >= y) dy; E[(Y − low)²] = ∫ 2(y − low) P(Y >= y) dy.
    const mean = integrate((y) => pBridgeAtLeast(bridge, y), 100, 130);
    const square = integrate((y) => 2 * (y - 100) * pBridgeAtLeast(bridge, y), 100, 130);
    expect(mean).toBeCloseTo((30 * a) / (a + b), 4);
    expect(square - mean ** 2).toBeCloseTo((900 * a * b) / ((a + b) ** 2 * (a + b + 1)), 2);
  });

  test('the incomplete beta function is the integral of its density', () => {
    const density = (a: number, b: number) => (x: number) =>
      Math.exp((a - 1) * Math.log(x) + (b - 1) * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b));
    expect(betaI(0.3, 4, 7)).toBeCloseTo(integrate(density(4, 7), 1e-12, 0.3), 9);
    // Closed form for whole numbers: I_x(2, 2) = 3x² − 2x³.
    expect(betaI(0.4, 2, 2)).toBeCloseTo(3 * 0.16 - 2 * 0.064, 12);
  });

  test('a median found is where half the chance lies', () => {
    const bridge = {
      lowHours: 10,
      highHours: 14,
      parts: [
        { weight: 0.5, a: 1, b: 6 },
        { weight: 0.5, a: 5, b: 2 },
      ],
    };
    const [median = 0] = bridgeQuantiles(bridge, [0.5]);
    expect(pBridgeAtLeast(bridge, median)).toBeCloseTo(0.5, 2);
  });
});
