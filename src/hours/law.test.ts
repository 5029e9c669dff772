import fc from 'fast-check';
import { expect, test } from 'vitest';
import { layStarts, type Mixture, pAtLeast, pUseAtLeast } from './law.js';

const part = fc.record({
  mean: fc.double({ min: 0.5, max: 150, noNaN: true }),
  phi: fc.double({ min: 0.3, max: 25, noNaN: true }),
});

/** The chance over the starts one by one, with no part drawn together. */
function overEveryStart({ starts, weight, mean, phi }: Mixture, target: number): number {
  return starts.reduce((sum, start) => {
    const open = target - start.hours;
    const above = weight.reduce((p, w, i) => p + w * pUseAtLeast(open, mean[i] ?? 0, phi[i] ?? 1), 0);
    return sum + start.weight * above;
  }, 0);
}

test('a chance drawn from three starts where use is spread wider is within 0.001 of that over every start', () => {
  const property = fc.property(
    fc.array(part, { minLength: 1, maxLength: 6 }),
    fc.double({ min: 0.05, max: 8, noNaN: true }),
    fc.double({ min: 0, max: 200, noNaN: true }),
    (parts, sd, further) => {
      const law: Mixture = {
        starts: layStarts(100, sd),
        weight: Float64Array.from(parts, () => 1 / parts.length),
        mean: Float64Array.from(parts, ({ mean }) => mean),
        phi: Float64Array.from(parts, ({ phi }) => phi),
        mostHours: 10_000,
      };
      // Beyond all that the meter may show already.
      const target = 100 + 2.7 * sd + further;
      expect(Math.abs(pAtLeast(law, target) - overEveryStart(law, target))).toBeLessThan(0.001);
    },
  );
  fc.assert(property, { numRuns: 2000 });
});

test('a target that the meter may show already counts the starts past it', () => {
  const law: Mixture = {
    starts: layStarts(100, 2),
    weight: Float64Array.of(1),
    mean: Float64Array.of(0.001),
    phi: Float64Array.of(1),
    mostHours: 10_000,
  };
  expect(pAtLeast(law, 100)).toBeCloseTo(0.5, 2);
  expect(pAtLeast(law, 90)).toBe(1);
});
