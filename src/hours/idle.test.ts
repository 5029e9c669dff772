import { expect, test } from 'vitest';
import { estimateReadings } from '../../tests/stage/readings-alone.js';
import { dayMs } from '../domain/day.js';
import { pReached } from './at.js';

const nowMs = Date.UTC(2031, 3, 2);

/** P(10 h more within a year) of a machine that worked at 60 h a year and then stood still for `years`, its meter looked at every `apart` days. */
function pWorksAgain(years: number, apart: number): number {
  const stoodSince = nowMs - years * 360 * dayMs;
  const worked = Array.from({ length: 6 }, (_, i) => ({
    atMs: stoodSince - (6 - i) * 60 * dayMs,
    hours: 40 + 10 * i,
  }));
  const still = Array.from({ length: (years * 360) / apart + 1 }, (_, i) => ({
    atMs: stoodSince + i * apart * dayMs,
    hours: 100,
  }));
  const estimate = estimateReadings([...worked, ...still], { season: 'unknown' }, nowMs);
  return pReached(estimate, 110, nowMs + 365 * dayMs);
}

test.each([1, 2, 3])('%i idle years: how often its meter was looked at changes nothing', (years) => {
  const yearly = pWorksAgain(years, 360);
  for (const apart of [30, 60, 90, 180]) expect(Math.abs(pWorksAgain(years, apart) - yearly)).toBeLessThan(0.02);
});

test('the longer it stood, the less likely it works again', () => {
  const chances = [1, 2, 3].map((years) => pWorksAgain(years, 30));
  expect(chances).toEqual([...chances].sort((a, b) => b - a));
  expect((chances[2] ?? 1) / (chances[0] ?? 0)).toBeLessThan(0.75);
});

test('no day on which it stood still makes the forecast jump', () => {
  const chance = (idleDays: number) => {
    const stoodSince = nowMs - (idleDays + 20) * dayMs;
    const readings = [
      { atMs: stoodSince - 480 * dayMs, hours: 100 },
      { atMs: stoodSince - 180 * dayMs, hours: 190 },
      { atMs: stoodSince, hours: 240 },
      { atMs: nowMs - 20 * dayMs, hours: 240 },
    ];
    const estimate = estimateReadings(readings, { season: 'even', hoursPerYear: 100 }, nowMs);
    return pReached(estimate, 300, nowMs + 180 * dayMs);
  };
  const chances = Array.from({ length: 41 }, (_, i) => chance(200 + 5 * i));
  for (const [i, one] of chances.slice(1).entries()) {
    const before = chances[i] ?? 0;
    expect(one).toBeLessThan(before + 0.002);
    expect(before - one).toBeLessThan(0.02);
  }
});
