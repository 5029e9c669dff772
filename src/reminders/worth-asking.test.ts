import fc from 'fast-check';
import { expect, test } from 'vitest';
import { meterHours } from '../domain/meter-hours.js';
import type { Foresight } from '../visits/foresight.js';
import { worthOfReading } from './worth-asking.js';

const due = { targetHours: meterHours(100), intervalHours: 100, toleranceHours: 10, countedFrom: null };

/** Hours spread evenly from `low` to `high`, and `use` hours until the week is over, for certain. */
function evenly(low: number, high: number, use: number): Foresight {
  return {
    hoursQuantiles: (_, levels) => levels.map((level) => low + level * (high - low)),
    pReachedGiven: (hours, _now, target) => (hours + use >= target ? 1 : 0),
  };
}

test('a reading is worth nothing when the hours are known', () => {
  expect(worthOfReading(due, evenly(70, 70, 5), 0, 1)).toBe(0);
  expect(worthOfReading(due, evenly(95, 95, 20), 0, 1)).toBe(0);
});

test('a reading is worth nothing while every answer would mean waiting', () => {
  expect(worthOfReading(due, evenly(0, 60, 5), 0, 1)).toBe(0);
});

test('a reading is worth most of a trip where the work is urgent or far off and nobody knows which', () => {
  // Nine in ten answers: far off, a trip in vain (0.2). One in ten: late within the week.
  expect(worthOfReading(due, evenly(10, 110, 5), 0, 1)).toBeGreaterThan(0.1);
});

test('without a limit in hours a reading tells nothing', () => {
  expect(worthOfReading({ ...due, targetHours: null }, evenly(0, 200, 5), 0, 1)).toBe(0);
});

test('the worth is never negative and never above the cost of a trip in vain', () => {
  fc.assert(
    fc.property(
      fc.float({ min: 0, max: 120, noNaN: true }),
      fc.float({ min: 0, max: 150, noNaN: true }),
      fc.float({ min: 0, max: 30, noNaN: true }),
      (low, width, use) => {
        const worth = worthOfReading(due, evenly(low, low + width, use), 0, 1);
        expect(worth).toBeGreaterThanOrEqual(0);
        expect(worth).toBeLessThanOrEqual(0.2 + 1e-9);
      },
    ),
  );
});
