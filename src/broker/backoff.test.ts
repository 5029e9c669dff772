import fc from 'fast-check';
import { expect, test } from 'vitest';
import { usualPace, waitBeforeAttempt } from './backoff.js';

test('waits grow from one second to one minute', () => {
  expect([0, 1, 2, 3, 4, 5, 6, 7, 100].map((attempt) => waitBeforeAttempt(attempt, () => 0.999999))).toEqual([
    1000, 2000, 4000, 8000, 16_000, 32_000, 60_000, 60_000, 60_000,
  ]);
});

test('two clients do not come back at the same instant', () => {
  expect(waitBeforeAttempt(6, () => 0)).toBe(30_000);
  expect(waitBeforeAttempt(6, () => 0.5)).toBe(45_000);
});

test('no wait is shorter than a second or longer than a minute', () => {
  fc.assert(
    fc.property(fc.nat(), fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }), (attempt, chance) => {
      const wait = waitBeforeAttempt(attempt, () => chance);
      expect(Number.isInteger(wait)).toBe(true);
      expect(wait).toBeGreaterThanOrEqual(usualPace.leastMs);
      expect(wait).toBeLessThanOrEqual(usualPace.mostMs);
    }),
  );
});
