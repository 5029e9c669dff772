import { expect, test } from 'vitest';
import { addDays, hourMs, parseDay, parseInstant, parseZone, startOfDay } from '../../domain/day.js';
import { trueHours } from './true-hours.js';

const zone = parseZone('UTC');
const from = parseDay('2027-05-01');
const to = parseDay('2027-05-06');
const usage = [
  { day: parseDay('2027-05-02'), hours: 4 },
  { day: parseDay('2027-05-03'), hours: 2 },
];
const meter = trueHours(usage, 100, from, to, zone);

test('the hours of a day are spread over its daytime', () => {
  expect(meter.at(parseInstant('2027-05-02T07:59Z', zone))).toBe(100);
  expect(meter.at(parseInstant('2027-05-02T14:00Z', zone))).toBeCloseTo(102, 9);
  expect(meter.at(parseInstant('2027-05-02T20:00Z', zone))).toBeCloseTo(104, 9);
});

test('the engine runs in stretches that add up to the hours of the day', () => {
  const runs = meter.runsOn(parseDay('2027-05-02'));
  expect(runs).toHaveLength(8);
  expect(runs.reduce((sum, run) => sum + run.toMs - run.fromMs, 0) / hourMs).toBeCloseTo(4, 9);
  for (const [i, run] of runs.entries()) expect(run.fromMs).toBeGreaterThanOrEqual(runs[i - 1]?.toMs ?? 0);
  expect(meter.runsOn(parseDay('2027-05-05'))).toEqual([]);
});

test('more than twelve hours run over the whole day, so that the meter never beats the clock', () => {
  const day = parseDay('2027-05-02');
  for (const hours of [12, 12.5, 20, 24]) {
    const busy = trueHours([{ day, hours }], 0, from, to, zone);
    for (let minute = 15; minute <= 24 * 60; minute += 15) {
      const atMs = startOfDay(day, zone) + minute * 60_000;
      expect(busy.at(atMs) - busy.at(atMs - 900_000)).toBeLessThanOrEqual(0.25 + 1e-9);
    }
    expect(busy.endOf(day)).toBeCloseTo(hours, 9);
  }
});

test('what a day of 23 hours cannot hold runs on the next', () => {
  const lisbon = parseZone('Europe/Lisbon');
  const short = parseDay('2027-03-28');
  const busy = trueHours([{ day: short, hours: 24 }], 0, parseDay('2027-03-20'), parseDay('2027-04-02'), lisbon);
  expect(busy.endOf(short)).toBeCloseTo(23, 9);
  expect(busy.endOf(addDays(short, 1))).toBeCloseTo(24, 9);
});

test('a meter shows whole tenths that are past, and never less than it was set up with', () => {
  const shown = trueHours(usage, 100.07, from, to, zone);
  expect(shown.shows(startOfDay(from, zone))).toBe(100.07);
  expect(shown.shows(parseInstant('2027-05-04T12:00Z', zone))).toBe(106);
});

test('days that the script lacks run no hours', () => {
  expect(meter.endOf(parseDay('2027-05-05'))).toBe(106);
});

test('the day a limit is reached is found, and past the script it goes on at the mean pace', () => {
  expect(meter.dayReaching(103)).toBe('2027-05-02');
  expect(meter.dayReaching(106)).toBe('2027-05-03');
  expect(meter.dayReaching(107)).toBe('2027-05-07');
});

test('a limit that a machine at rest never reaches lies a hundred years ahead', () => {
  expect(trueHours([], 5, from, to, zone).dayReaching(9)).toBe('2127-04-12');
});
