import fc from 'fast-check';
import { expect, test } from 'vitest';
import { aHousehold } from '../../tests/stage/visit-scene.js';
import { dayNumber, dayNumbered, parseDay } from '../domain/day.js';
import { isWorkingDay, nextWorkingDay, workingDayNumbers } from './working-days.js';

const household = aHousehold({
  daysOff: [{ from: parseDay('2031-04-19'), to: parseDay('2031-04-21'), why: 'Easter' }],
});

test('Saturdays and Sundays are working days where the household says so, and weekdays are not', () => {
  // 12 April 2031 is a Saturday by the ISO 8601 calendar.
  expect(isWorkingDay(parseDay('2031-04-12'), household)).toBe(true);
  expect(isWorkingDay(parseDay('2031-04-11'), household)).toBe(false);
});

test('a day off is no working day, and the next one comes after it', () => {
  expect(isWorkingDay(parseDay('2031-04-19'), household)).toBe(false);
  expect(nextWorkingDay(parseDay('2031-04-14'), household)).toBe('2031-04-26');
});

test('a working day is its own next working day', () => {
  expect(nextWorkingDay(parseDay('2031-04-12'), household)).toBe('2031-04-12');
});

test('a household that names no working days works on any', () => {
  expect(nextWorkingDay(parseDay('2031-04-16'), { workingDays: [], daysOff: [] })).toBe('2031-04-16');
});

test('where nothing but days off lies ahead, the search ends with the day asked about', () => {
  const never = {
    workingDays: household.workingDays,
    daysOff: [{ from: parseDay('2030-01-01'), to: parseDay('2040-01-01') }],
  };
  expect(nextWorkingDay(parseDay('2031-04-16'), never)).toBe('2031-04-16');
});

test('the list of working days holds exactly the days that are working days', () => {
  fc.assert(
    fc.property(fc.integer({ min: 20_000, max: 24_000 }), fc.integer({ min: 0, max: 60 }), (first, length) => {
      const listed = new Set(workingDayNumbers(first, first + length, household));
      for (let number = first; number <= first + length; number++) {
        expect(listed.has(number)).toBe(isWorkingDay(dayNumbered(number), household));
        expect(dayNumber(dayNumbered(number))).toBe(number);
      }
    }),
  );
});
