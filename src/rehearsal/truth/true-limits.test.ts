import { expect, test } from 'vitest';
import { parseDay, parseZone } from '../../domain/day.js';
import { meterHours } from '../../domain/meter-hours.js';
import { trueHours } from './true-hours.js';
import { shareLeft, type TaskLimits, trueDueOf } from './true-limits.js';

const zone = parseZone('UTC');
const from = parseDay('2031-01-01');
const days = Array.from({ length: 100 }, (_, i) => new Date(Date.UTC(2031, 0, 1 + i)).toISOString().slice(0, 10));
const usage = days.map((day) => ({ day: parseDay(day), hours: 1 }));
const meter = trueHours(usage, 0, from, parseDay('2031-04-10'), zone);

const hours = {
  kind: 'hours',
  targetHours: meterHours(50),
  counted: null,
  intervalHours: 50,
  toleranceHours: 5,
} as const;
const calendarOn = (day: string) =>
  ({ kind: 'months', day: parseDay(day), intervalDays: 181, toleranceDays: 18 }) as const;
const limits = (over: Partial<TaskLimits>): TaskLimits => ({
  hours: null,
  calendar: null,
  lastDay: from,
  cycle: 0,
  ...over,
});

test('the limit that truly comes first is the one whose day comes first', () => {
  expect(trueDueOf(limits({ hours }), meter)).toEqual({ limit: 'hours', day: '2031-02-19' });
  expect(trueDueOf(limits({ hours, calendar: calendarOn('2031-02-18') }), meter)).toEqual({
    limit: 'months',
    day: '2031-02-18',
  });
  expect(trueDueOf(limits({ hours, calendar: calendarOn('2031-02-20') }), meter)?.limit).toBe('hours');
});

test('on the same day it is the hours', () => {
  expect(trueDueOf(limits({ hours, calendar: calendarOn('2031-02-19') }), meter)?.limit).toBe('hours');
});

test('a task without a limit is never due', () => {
  expect(trueDueOf(limits({}), meter)).toBeNull();
  expect(shareLeft(limits({}), 10, from)).toBeNull();
});

test('what is left is the nearer of hours and days, and only days where nobody read the meter', () => {
  const both = limits({ hours, calendar: calendarOn('2031-07-01') });
  expect(shareLeft(both, 40, from)).toBeCloseTo(0.2, 9);
  expect(shareLeft(both, 55, from)).toBeCloseTo(-0.1, 9);
  expect(shareLeft(both, null, from)).toBeCloseTo(1, 9);
});
