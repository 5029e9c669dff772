import { expect, test } from 'vitest';
import { minuteMs } from './day.js';
import { hearSensor } from './feed-silence.js';
import type { Machine } from './machine.js';

const feed = { kind: 'run-seconds', topic: 'barn/pump/run', scale: 1, offset: 0, silentAfterMinutes: 15 } as const;
const pump: Pick<Machine, 'feed' | 'gone'> = { feed, gone: false };
const lastAtMs = Date.UTC(2031, 5, 14);
const told = { runSeconds: 60, lastAtMs };

test('a sensor is silent once its silence and the time until signs of life are written down have passed', () => {
  expect(hearSensor(pump, told, lastAtMs + 21 * minuteMs)).toEqual({ kind: 'heard' });
  expect(hearSensor(pump, told, lastAtMs + 21 * minuteMs + 1)).toEqual({ kind: 'silent', sinceMs: lastAtMs });
});

test('one that was never heard, or only by a clock that was wrong, is said to be so', () => {
  expect(hearSensor(pump, null, lastAtMs)).toEqual({ kind: 'never' });
  expect(hearSensor(pump, { runSeconds: 60, lastAtMs: null }, lastAtMs)).toEqual({ kind: 'never' });
});

test('one that said itself that it goes is silent at once', () => {
  expect(hearSensor(pump, { ...told, isAway: true }, lastAtMs)).toEqual({ kind: 'silent', sinceMs: lastAtMs });
  expect(hearSensor(pump, { ...told, isAway: false }, lastAtMs)).toEqual({ kind: 'heard' });
});

test('a machine without a sensor, or one that is gone, has none to be silent', () => {
  expect(hearSensor({ gone: false }, null, lastAtMs)).toBeNull();
  expect(hearSensor({ ...pump, gone: true }, told, lastAtMs + 99 * minuteMs)).toBeNull();
});
