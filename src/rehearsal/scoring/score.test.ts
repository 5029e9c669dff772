import { expect, test } from 'vitest';
import { coverage, crps, mean, median, pitTenths } from './score.js';

const levels = Array.from({ length: 39 }, (_, i) => (i + 1) / 40);
const spread = (from: number, to: number) => levels.map((level) => from + level * (to - from));

test('a forecast of one value is scored by its absolute error', () => {
  expect(crps({ quantiles: levels.map(() => 10), truth: 13 }, levels)).toBeCloseTo(3, 10);
});

test('a span holds the truth at its ends too', () => {
  const quantiles = spread(0, 40);
  const held = [4, 36, 3.9, 36.1].map((truth) => ({ quantiles, truth }));
  expect(coverage(held, levels, 0.8)).toBe(0.5);
});

test('a span whose ends were not asked for is refused', () => {
  expect(() => coverage([], levels, 0.33)).toThrow('was not asked for');
});

test('truths spread as the forecast says fall into its tenths evenly', () => {
  const quantiles = spread(0, 1);
  const scored = Array.from({ length: 400 }, (_, i) => ({ quantiles, truth: (i + 0.5) / 400 }));
  for (const tenth of pitTenths(scored, levels)) expect(tenth).toBeCloseTo(0.1, 1);
});

test('a truth that equals all quantiles is shared among all tenths', () => {
  const tenths = pitTenths([{ quantiles: levels.map(() => 5), truth: 5 }], levels);
  for (const tenth of tenths) expect(tenth).toBeCloseTo(0.1, 10);
});

test('mean and median of nothing are refused, not NaN', () => {
  expect(mean([1, 2, 6])).toBe(3);
  expect(median([4, 1, 2, 9])).toBe(3);
  expect(() => mean([])).toThrow(RangeError);
  expect(() => median([])).toThrow(RangeError);
});
