import { expect, test } from 'vitest';
import { estimateReadings } from '../../tests/stage/readings-alone.js';
import { dayMs } from '../domain/day.js';
import { sayDoubt } from './doubt.js';

const nowMs = Date.UTC(2031, 3, 2);

/** What is said of a blower told to work in winter, read every month for three years. */
function said(hoursInMonth: (month: number) => number): string | null {
  let hours = 100;
  const readings = Array.from({ length: 37 }, (_, i) => {
    const atMs = nowMs - (36 - i) * 30.4 * dayMs;
    if (i > 0) hours += hoursInMonth(new Date(atMs - 15 * dayMs).getUTCMonth());
    return { atMs, hours: Math.round(hours * 10) / 10 };
  });
  const expectation = { season: 'winter' } as const;
  return sayDoubt({ name: 'Blower', expect: expectation }, estimateReadings(readings, expectation, nowMs), nowMs);
}

test('readings that contradict the season word name the season they support', () => {
  expect(said((month) => (month >= 4 && month <= 8 ? 12 : 0.2))).toContain('“season: summer”');
});

test('and none where no other season stands out', () => {
  expect(said((month) => (month >= 3 && month <= 9 ? 8 : 0.5))).toContain('“season: unknown”');
});

test('use in April, May and June is not called spring and autumn', () => {
  expect(said((month) => (month >= 3 && month <= 5 ? 12 : 0.5))).toContain('“season: unknown”');
});

test('hours that are the same all year are even', () => {
  expect(said(() => 8)).toContain('“season: even”');
});

test('readings of a winter leave the word as it is', () => {
  expect(said((month) => (month >= 10 || month <= 1 ? 12 : 0.2))).toBe(null);
});
