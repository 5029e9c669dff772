import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { addDays, parseDay } from '../domain/day.js';
import { sayAgo, sayBy, sayDay, sayDayShort, sayDaySpan, sayLikelyDays, sayMinutes, sayWhen } from './dates.js';

const day = parseDay;
const today = day('2031-03-21');
const spread = (p10: string, p50: string, p90: string) => ({ p10: day(p10), p50: day(p50), p90: day(p90) });

describe('a day', () => {
  test('carries its weekday, and no year while it is near', () => {
    expect(sayDay(day('2031-03-22'), today, 'en-GB')).toBe('Saturday 22 March');
    expect(sayDayShort(day('2031-03-22'), today, 'en-GB')).toBe('Sat 22 March');
    expect(sayDay(day('2032-01-20'), today, 'en-GB')).toBe('Tuesday 20 January');
  });

  test('carries its year from ten months on, and when it lies in another past year', () => {
    expect(sayDay(day('2032-01-21'), today, 'en-GB')).toBe('Wednesday 21 January');
    expect(sayDay(day('2032-01-22'), today, 'en-GB')).toBe('Thursday 22 January 2032');
    expect(sayDay(day('2030-12-31'), today, 'en-GB')).toBe('Tuesday 31 December 2030');
  });

  test('puts the month first where the region does', () => {
    expect(sayDay(day('2031-03-22'), today, 'en-US')).toBe('Saturday, March 22');
    expect(sayDay(day('2033-03-22'), today, 'en-US')).toBe('Tuesday, March 22, 2033');
    expect(sayDaySpan(day('2031-05-09'), day('2031-05-21'), today, 'en-US')).toBe('between May 9 and 21');
  });

  test.each(['de-DE', 'pt', 'ja-JP', 'fr-CA', 'nonsense locale', ''])(
    'is told in English words whatever the locale (%j)',
    (locale) => {
      expect(sayDay(day('2031-03-22'), today, locale)).toMatch(/^Saturday,? (22 March|March 22)$/);
    },
  );

  test('is the day it is, whatever the time zone of this computer', () => {
    // ISO 8601-1:2019 example: 12 April 1985 is a Friday (day 5 of week 15).
    expect(sayDay(day('1985-04-12'), day('1985-01-01'), 'en-GB')).toBe('Friday 12 April');
  });
});

describe('when', () => {
  test('today, tomorrow, this week and later each have their words', () => {
    const said = [0, 1, 2, 6, 7].map((ahead) => sayWhen(addDays(today, ahead), today, 'en-GB'));
    expect(said).toEqual([
      'today',
      'tomorrow, Saturday 22 March',
      'this Sunday, 23 March',
      'this Thursday, 27 March',
      'on Friday 28 March',
    ]);
  });

  test('a day by which something must be done is never one that is past', () => {
    expect(sayBy(addDays(today, -1), today, 'en-GB')).toBe('as soon as you can');
    expect(sayBy(today, today, 'en-GB')).toBe('today');
    expect(sayBy(addDays(today, 4), today, 'en-GB')).toBe('by Tuesday 25 March');
  });

  test('how long ago is told in days, then months, then years', () => {
    const said = [-3, 0, 1, 12, 69, 122, 800].map((ago) => sayAgo(addDays(today, -ago), today));
    expect(said).toEqual([
      'today',
      'today',
      'yesterday',
      '12 days ago',
      '69 days ago',
      'about 4 months ago',
      'about 2 years ago',
    ]);
  });
});

describe('a span of days', () => {
  test.each([
    ['2031-05-09', '2031-05-21', 'between 9 and 21 May'],
    ['2031-03-11', '2031-04-09', 'between 11 March and 9 April'],
    ['2031-12-20', '2032-01-09', 'between 20 December and 9 January'],
    ['2032-05-09', '2032-05-21', 'between 9 and 21 May 2032'],
    ['2032-12-20', '2033-01-09', 'between 20 December 2032 and 9 January 2033'],
    ['2031-05-09', '2031-05-09', 'on 9 May'],
    ['2031-03-01', '2033-02-01', 'between March 2031 and February 2033'],
  ])('%s to %s is told as %j', (a, b, said) => {
    expect(sayDaySpan(day(a), day(b), today, 'en-GB')).toBe(said);
    expect(sayDaySpan(day(b), day(a), today, 'en-GB')).toBe(said);
  });

  test('its middle is named once the month has been', () => {
    expect(sayLikelyDays(spread('2031-05-09', '2031-05-14', '2031-05-21'), today, 'en-GB')).toBe(
      'between 9 and 21 May, most likely about the 14th',
    );
    expect(sayLikelyDays(spread('2031-03-11', '2031-03-24', '2031-04-09'), today, 'en-GB')).toBe(
      'between 11 March and 9 April, most likely about 24 March',
    );
  });

  test('a middle that adds nothing is left out', () => {
    expect(sayLikelyDays(spread('2031-05-09', '2031-05-10', '2031-05-11'), today, 'en-GB')).toBe(
      'between 9 and 11 May',
    );
  });
});

test('minutes of work are told in hours and minutes, and never as more than they are', () => {
  expect([0, 45, 59.6, 60, 65, 110, 605].map(sayMinutes)).toEqual([
    '0 min',
    '45 min',
    '1 h',
    '1 h',
    '1 h 05',
    '1 h 50',
    '10 h 05',
  ]);
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 6000 }), (minutes) => {
      const [, hours = '0', tail = '0'] = /^(?:(\d+) h)? ?(?:(\d+)(?: min)?)?$/.exec(sayMinutes(minutes)) ?? [];
      expect(Number(hours) * 60 + Number(tail)).toBe(minutes);
    }),
  );
});
