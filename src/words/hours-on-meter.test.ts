import { expect, test } from 'vitest';
import { due, today, tractor } from '../../tests/stage/letter-scene.js';
import { parseZone } from '../domain/day.js';
import type { Meter, MeterChange } from '../domain/machine.js';
import { meterHours } from '../domain/meter-hours.js';
import type { Why } from '../domain/results/why.js';
import { sayDue } from './due.js';
import { isOnEarlierMeter, sayHoursOnMeter } from './hours-on-meter.js';
import { sayWhy } from './why.js';

const meter = (...changes: readonly MeterChange[]): Meter => ({ kind: 'meter', counts: 'clock', changes });
const first = { atMs: Date.UTC(2028, 4, 2, 12), lastHours: 600, firstHours: 0 };
const second = { atMs: Date.UTC(2030, 10, 2, 12), lastHours: 1421, firstHours: 0 };

// By pencil: 15 h after 1,180 h is 1,195 h, and 1,195 - 1,421 is -226 on the meter that began at 0.
test('hours from before a new meter are told as the meter before showed them', () => {
  expect(sayHoursOnMeter(-226, meter(second))).toBe('1,195 h on the meter before');
});

test('what the meter in use shows is told plainly, from its first hour on', () => {
  expect(sayHoursOnMeter(0, meter(second))).toBe('0 h');
  expect(sayHoursOnMeter(179, meter(second))).toBe('179 h');
  expect(sayHoursOnMeter(179, { kind: 'none' })).toBe('179 h');
});

test('a new meter that began with hours on it leaves what lies below them to the meter before', () => {
  expect(sayHoursOnMeter(480, meter({ ...second, lastHours: 200, firstHours: 500 }))).toBe('180 h on the meter before');
});

test('two meters back it is an earlier meter, in whatever order the changes are written', () => {
  // 590 on the first meter: 590 - 600 on the second, less 1,421 on the third.
  for (const changes of [
    [first, second],
    [second, first],
  ] as const)
    expect(sayHoursOnMeter(-1431, meter(...changes))).toBe('590 h on an earlier meter');
});

test('hours on a meter that is gone are known as such', () => {
  expect(isOnEarlierMeter(-0.1, meter(second))).toBe(true);
  expect(isOnEarlierMeter(0, meter(second))).toBe(false);
  expect(isOnEarlierMeter(-0.1, { kind: 'none' })).toBe(false);
});

const replaced = { ...tractor, meter: meter(second) };

test('a limit that was passed on the meter before never stands at hours below zero', () => {
  expect(sayDue({ ...due, targetHours: meterHours(-226) }, replaced, today, 'en-GB')).toContain(
    '; the hours come first, at 1,195 h on the meter before.',
  );
});

test('why a date is what it is names both showings of a replaced meter, so that the sum can be checked', () => {
  const why: Why = {
    due: {
      ...due,
      lastDay: today,
      lastHours: -241,
      targetHours: meterHours(179),
      countedFrom: null,
      unknownLast: false,
    },
    today,
    readings: { count: 0, newest: [] },
    sensor: null,
    byHours: null,
  };
  const said = sayWhy(why, replaced, { locale: 'en-GB', units: 'metric', zone: parseZone('UTC') }).join(' ');
  expect(said).toContain('at 1,180 h on the meter before');
  expect(said).toContain('the hours run to 179 h');
  expect(said).toContain(
    'The meter was replaced on 2 November 2030: the one before stopped at 1,421 h, the new one began at 0 h.',
  );
});

test('a meter that was replaced before the last time done is not mentioned', () => {
  const why: Why = { due, today, readings: { count: 0, newest: [] }, sensor: null, byHours: null };
  const said = sayWhy(why, replaced, { locale: 'en-GB', units: 'metric', zone: parseZone('UTC') }).join(' ');
  expect(said).not.toContain('replaced');
});
