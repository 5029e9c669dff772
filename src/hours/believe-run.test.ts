import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { ToldRun } from '../domain/facts.js';
import { believeRun } from './believe-run.js';

const told = (minutes: readonly number[]): ToldRun[] =>
  minutes.map((each, i) => ({ id: `t${i}`, atMs: i * 86_400_000, minutes: each, by: null }));
const usual = told([35, 45, 40, 50, 30, 40]);

test('a nought too many is asked about, and what was meant is named', () => {
  expect(believeRun(usual, 400)).toEqual({
    kind: 'questionable',
    question: '400 min is far longer than the 40 min it usually runs. Did you mean 40 min?',
    suggestionMinutes: 40,
  });
  expect(believeRun(usual, 350)).toMatchObject({ suggestionMinutes: 35 });
});

test('a longer afternoon than usual is believed', () => {
  for (const minutes of [5, 40, 60, 75, 90, 100]) expect(believeRun(usual, minutes).kind).toBe('believed');
});

test('where long runs were told before, long runs are believed', () => {
  const long = told([120, 240, 90, 300, 180]);
  expect(believeRun(long, 400).kind).toBe('believed');
  expect(believeRun(long, 420).kind).toBe('believed');
});

test('of a machine of which nothing was told yet, an afternoon is believed, most of a day is not', () => {
  expect(believeRun([], 240).kind).toBe('believed');
  expect(believeRun([], 900)).toMatchObject({ kind: 'questionable', suggestionMinutes: 90 });
});

test('of honest runs, whose minutes spread like those before, at most one in a hundred is questioned', () => {
  let all = 0;
  let questioned = 0;
  // Uniform numbers in twelves make a bell curve: central limit theorem.
  const runs = fc.array(
    fc.array(fc.double({ min: 0, max: 1, noNaN: true, noDefaultInfinity: true }), { minLength: 12, maxLength: 12 }),
    { minLength: 3, maxLength: 20 },
  );
  const owners = fc.sample(fc.record({ runs, middle: fc.integer({ min: 20, max: 120 }) }), { numRuns: 300, seed: 11 });
  for (const { runs: drawn, middle } of owners) {
    const minutes = drawn.map((twelve) => {
      const z = twelve.reduce((sum, one) => sum + one, -6);
      return Math.max(5, Math.min(1440, Math.round((middle * Math.exp(0.5 * z)) / 5) * 5));
    });
    minutes.forEach((each, i) => {
      all += 1;
      if (believeRun(told(minutes.slice(0, i)), each).kind === 'questionable') questioned += 1;
    });
  }
  expect(all).toBeGreaterThan(1500);
  // 1 of 2782 was, when this was written.
  expect(questioned / all).toBeLessThan(0.01);
});
