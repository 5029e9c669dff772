import { expect, test } from 'vitest';
import { due, home, today, tractor } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { Why } from '../domain/results/why.js';
import { sayWhenDue, sayWhy } from './why.js';

const calendarDay = parseDay('2031-05-04');
const explain = (changes: Partial<Why['due']>) => {
  const why: Why = {
    due: { ...due, ...changes },
    today,
    readings: { count: 0, newest: [] },
    sensor: null,
    byHours: null,
  };
  return sayWhy(why, tractor, home.household).join(' ');
};

test('both limits from the last time on are one sentence', () => {
  expect(explain({ calendarDay })).toContain(
    'It was last done on 4 November 2029 at 250 h, so the hours run to 400 h and the calendar to 4 May.',
  );
});

test('a calendar without an hours limit beside it still makes a whole sentence', () => {
  expect(explain({ calendarDay, targetHours: null })).toContain('at 250 h, so the calendar runs to 4 May.');
});

test('a task of which nobody knows when it was last done is not said to reach its limit on a day', () => {
  expect(sayWhenDue({ ...due, unknownLast: true }, today, 'en-GB')).toBe('nobody knows when it was last done');
  expect(explain({ unknownLast: true })).toContain('Nobody knows when it was last done, so it counts as due.');
});

test('a known limit is told with its span, and one without a day as such', () => {
  expect(sayWhenDue(due, today, 'en-GB')).toBe(
    'it reaches its limit between 27 March and 24 April, most likely about 8 April',
  );
  expect(sayWhenDue({ ...due, day: null }, today, 'en-GB')).toBe('no day can be named yet');
});
