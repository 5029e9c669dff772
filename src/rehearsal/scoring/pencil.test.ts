import { expect, test } from 'vitest';
import { dayMs } from '../../domain/day.js';
import { workOutByPencil } from './pencil.js';

const nowMs = Date.UTC(2031, 5, 1);
const ask = (readings: readonly (readonly [daysAgo: number, hours: number])[], targetHours: number) =>
  workOutByPencil({
    nowMs,
    targetHours,
    readings: readings.map(([daysAgo, hours]) => ({ atMs: nowMs - daysAgo * dayMs, hours })),
    expect: { season: 'unknown' },
    hemisphere: 'north',
    runs: [],
    coverage: [],
    meters: [],
    notUsedSinceMs: null,
    levels: [0.5],
    probeDays: [],
  }).map((answer) => answer.dueDays);

test('two readings make a line, and a year makes another', () => {
  // 20 h in the last 100 days; 30 h in the last 365.25.
  const [two, year] = ask(
    [
      [365.25, 70],
      [100, 80],
      [0, 100],
    ],
    110,
  );
  expect(two).toBeCloseTo(50, 9);
  expect(year).toBeCloseTo((10 / 30) * 365.25, 9);
});

test('last year again finds the day on which last year had come as far', () => {
  // Nothing in the first 200 days of the year, then an hour every ten days.
  const [, , again] = ask(
    [
      [365, 0],
      [165, 0],
      [0, 16.5],
    ],
    17.5,
  );
  expect(again).toBe(210);
});

test('a line that does not rise never gets there', () => {
  expect(
    ask(
      [
        [400, 20],
        [0, 20],
      ],
      30,
    ),
  ).toEqual([Infinity, Infinity, Infinity]);
  expect(ask([[3, 20]], 30)).toEqual([Infinity, Infinity, Infinity]);
});
