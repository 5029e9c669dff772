import fc from 'fast-check';
import { expect, test } from 'vitest';
import { addDays, daysBetween, parseDay } from '../domain/day.js';
import { feedDays } from './feed-days.js';
import { seededRandom } from './random.js';

const from = parseDay('2031-01-01');
const aSeed = fc.integer({ min: 1, max: 1e6 });
const aShare = fc.double({ min: 0, max: 1, noNaN: true });

test('the share of the days is covered, to the day', () => {
  fc.assert(
    fc.property(aSeed, aShare, fc.integer({ min: 1, max: 800 }), (seed, share, total) => {
      const to = addDays(from, total - 1);
      const days = [...feedDays(from, to, share, seededRandom(seed))];
      expect(days.length).toBe(Math.round(share * total));
      for (const day of days) expect(day >= from && day <= to).toBe(true);
    }),
    { numRuns: 50 },
  );
});

test('covered days come in blocks', () => {
  fc.assert(
    fc.property(aSeed, fc.double({ min: 0.2, max: 0.9, noNaN: true }), (seed, share) => {
      const days = [...feedDays(from, addDays(from, 729), share, seededRandom(seed))].sort();
      const blocks = 1 + days.filter((day, i) => i > 0 && daysBetween(days[i - 1] ?? day, day) > 1).length;
      expect(blocks).toBeGreaterThan(5);
      expect(days.length / blocks).toBeGreaterThan(3);
    }),
    { numRuns: 20 },
  );
});

test('the same seed covers the same days', () => {
  const days = (seed: number) => [...feedDays(from, addDays(from, 200), 0.5, seededRandom(seed))].join();
  expect(days(5)).toBe(days(5));
  expect(days(6)).not.toBe(days(5));
});
