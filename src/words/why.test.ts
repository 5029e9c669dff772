import fc from 'fast-check';
import { expect, test } from 'vitest';
import { due, home, today, tractor } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import { meterHours } from '../domain/meter-hours.js';
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

test('an end of the calendar a year after a last time without its year bears its own', () => {
  const lastDay = parseDay('2031-01-20');
  expect(explain({ lastDay, calendarDay: parseDay('2032-01-20'), targetHours: null })).toContain(
    'on 20 January at 250 h, so the calendar runs to 20 January 2032.',
  );
  expect(explain({ lastDay, calendarDay: parseDay('2031-07-20'), targetHours: null })).toContain('to 20 July.');
});

test('the sum of the hours comes out with a pencil: what is left is the limit less the hours now, all to the tenth', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 3000, noNaN: true }),
      fc.double({ min: 0.1, max: 200, noNaN: true }),
      fc.double({ min: 0, max: 90, noNaN: true }),
      (p50, left, lastWeeks) => {
        const said = sayWhy(
          {
            due: { ...due, lastHours: meterHours(p50), targetHours: meterHours(p50 + left) },
            today,
            readings: { count: 1, newest: [{ day: today, hours: p50 }] },
            sensor: null,
            byHours: {
              now: { p10: p50, p50, p90: p50 },
              targetHours: p50 + left,
              lastWeeks,
              nextWeeks: lastWeeks,
              sameWeeksLastYear: null,
              untilDue: null,
              ifRead: [],
            },
          },
          tractor,
          home.household,
        ).join(' ');
        const number = (text: string) => Number(text.replaceAll(',', ''));
        const sum = /at about ([\d.,]+) h, so about ([\d.,]+) h are left to ([\d.,]+) h\./.exec(said);
        if (sum !== null) {
          const [now, rest, limit] = sum.slice(1).map(number) as [number, number, number];
          expect(now + rest).toBeCloseTo(limit, 6);
          expect(said).toContain(`the hours run to ${sum[3]} h`);
        } else expect(left).toBeLessThan(0.2);
        const pace = /brought about ([\d.,]+) h \(([\d.,]+) h a week\)/.exec(said);
        expect(Math.abs(number(pace?.[1] ?? '') / 6 - number(pace?.[2] ?? ''))).toBeLessThanOrEqual(0.0501);
      },
    ),
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
