import { describe, expect, test } from 'vitest';
import { estimateReadings } from '../../tests/stage/readings-alone.js';
import { dayMs } from '../domain/day.js';
import { seasonWords } from '../domain/machine.js';
import { hoursPerYear, hoursQuantiles } from './at.js';
import { settingsFor } from './settings.js';

const nowMs = Date.UTC(2031, 3, 2);

/** Width of the 80 % span of the hours a quarter ahead, over the hours expected in it, of a machine read every month for two years. */
function spanOf(hoursInMonth: (month: number) => number): number {
  let hours = 100;
  const readings = Array.from({ length: 25 }, (_, i) => {
    hours += i === 0 ? 0 : hoursInMonth(i);
    return { atMs: nowMs - (24 - i) * 30 * dayMs, hours: Math.round(hours * 10) / 10 };
  });
  const estimate = estimateReadings(readings, { season: 'unknown' }, nowMs);
  const [low = 0, middle = 0, high = 0] = hoursQuantiles(estimate, nowMs + 90 * dayMs, [0.1, 0.5, 0.9]);
  return (high - low) / (middle - (readings.at(-1)?.hours ?? 0));
}

test('a machine that runs the same hours every day has a narrow span, one that does not a wide one', () => {
  const pump = spanOf(() => 60);
  expect(pump).toBeLessThan(0.25);
  expect(spanOf((month) => (month % 3 === 0 ? 150 : 15))).toBeGreaterThan(3 * pump);
});

test.each(seasonWords.flatMap((season) => [{ season }, { season, hoursPerYear: 40 }]))(
  '$season, $hoursPerYear h a year: the weights of the settings, and of the bursts of each, add up to 1',
  (expected) => {
    const sum = (list: readonly { readonly prior: number }[]) => list.reduce((total, one) => total + one.prior, 0);
    const settings = settingsFor(expected, true);
    expect(sum(settings)).toBeCloseTo(1, 12);
    for (const { bursts } of settings) expect(sum(bursts)).toBeCloseTo(1, 12);
  },
);

describe('hours a year that the owner told', () => {
  /** A machine at `perYear` hours a year, read every sixty days. */
  const estimateOf = (perYear: number, told: number | undefined, count: number) => {
    const readings = Array.from({ length: count }, (_, i) => ({
      atMs: nowMs - (count - 1 - i) * 60 * dayMs,
      hours: Math.round(1000 + (perYear / 365.25) * 600 * i) / 10,
    }));
    return estimateReadings(
      readings,
      told === undefined ? { season: 'even' } : { season: 'even', hoursPerYear: told },
      nowMs,
    );
  };

  test.each([
    [0, 5],
    [20, 5],
    [20, 9],
    [20, 12],
    [600, 9],
  ])(
    '%i, of a machine that %i readings show at 200: the readings win, and the word is said to be wrong',
    (told, count) => {
      const estimate = estimateOf(200, told, count);
      expect(hoursPerYear(estimate, nowMs) / hoursPerYear(estimateOf(200, undefined, count), nowMs)).toBeCloseTo(1, 1);
      if (told < 600) expect(estimate.pHoursWrong).toBeGreaterThan(0.9);
    },
  );

  test('and are wrong do not make a date jump from one day to the next, however long the history grows', () => {
    const ahead = (days: number) => {
      const readings = Array.from({ length: 5 }, (_, i) => ({
        atMs: nowMs - ((4 - i) / 4) * days * dayMs,
        hours: Math.round(1000 + (i / 4) * days * 2.5) / 10,
      }));
      const estimate = estimateReadings(readings, { season: 'even', hoursPerYear: 400 }, nowMs);
      const [low = 0, middle = 0] = hoursQuantiles(estimate, nowMs + 200 * dayMs, [0.1, 0.5]);
      return { low: low - (readings[4]?.hours ?? 0), middle: middle - (readings[4]?.hours ?? 0) };
    };
    for (const days of [300, 500, 549.9, 600, 900]) {
      const [one, next] = [ahead(days), ahead(days + 0.2)];
      expect(Math.abs(next.middle - one.middle) / one.middle).toBeLessThan(0.01);
      expect(Math.abs(next.low - one.low) / one.low).toBeLessThan(0.02);
    }
  });

  test('that are right stay, and narrow the dates while there are few readings', () => {
    const width = (told: number | undefined) => {
      const estimate = estimateOf(60, told, 2);
      const [low = 0, high = 0] = hoursQuantiles(estimate, nowMs + 365 * dayMs, [0.1, 0.9]);
      return high - low;
    };
    expect(estimateOf(60, 60, 3).pHoursWrong).toBeLessThan(0.2);
    expect(width(60)).toBeLessThan(0.8 * width(undefined));
  });

  test('stand alone where nothing was seen yet', () => {
    const estimate = estimateOf(60, 25, 1);
    expect(estimate.pHoursWrong).toBeNull();
    expect(hoursPerYear(estimate, nowMs)).toBeGreaterThan(20);
    expect(hoursPerYear(estimate, nowMs)).toBeLessThan(35);
  });
});
