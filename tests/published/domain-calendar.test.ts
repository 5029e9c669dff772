import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  addDays,
  addMonths,
  type Day,
  dayNumber,
  dayNumbered,
  dayOf,
  daysBetween,
  formatInstant,
  hourMs,
  instantOf,
  parseDay,
  parseInstant,
  parseTimeOfDay,
  parseZone,
  startOfDay,
  timeOfDayAt,
  type Weekday,
  weekdayNumbered,
  weekdayOf,
} from '../../src/domain/day.js';

const pad = (value: number, places = 2) => String(value).padStart(places, '0');
const written = (year: number, month: number, day: number) => `${pad(year, 4)}-${pad(month)}-${pad(day)}`;
const anyYear = fc.integer({ min: 1970, max: 2999 });
const anyDay = fc
  .record({ year: anyYear, month: fc.integer({ min: 1, max: 12 }), day: fc.integer({ min: 1, max: 28 }) })
  .map(({ year, month, day }) => parseDay(written(year, month, day)));

describe('the Gregorian calendar, as ISO 8601 has it', () => {
  // Source: Inter gravissimas (1582), the bull of the Gregorian reform; ISO 8601: every fourth year is a leap year, a
  // hundredth only where it is a four-hundredth.
  test.each([
    [1972, true],
    [2000, true],
    [2024, true],
    [2025, false],
    [2100, false],
    [2200, false],
    [2400, true],
  ])('29 February %i exists: %s', (year, exists) => {
    if (exists) expect(parseDay(`${year}-02-29`)).toBe(`${year}-02-29`);
    else expect(() => parseDay(`${year}-02-29`)).toThrow();
    expect(addDays(parseDay(`${year}-02-28`), 1)).toBe(exists ? `${year}-02-29` : `${year}-03-01`);
  });

  test('four hundred years are 146,097 days, a whole number of weeks', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1970, max: 2599 }), (year) => {
        const [from, to] = [parseDay(`${year}-03-01`), parseDay(`${year + 400}-03-01`)];
        expect(daysBetween(from, to)).toBe(146_097);
        expect(weekdayOf(to)).toBe(weekdayOf(from));
      }),
    );
  });

  // Weekdays that history books agree on; from memory.
  test.each([
    ['1970-01-01', 'thu'],
    ['1999-12-31', 'fri'],
    ['2000-01-01', 'sat'],
    ['2000-02-29', 'tue'],
    ['2012-02-29', 'wed'],
  ] satisfies [string, Weekday][])('%s was a %s', (day, weekday) => {
    expect(weekdayOf(parseDay(day))).toBe(weekday);
    expect(weekdayNumbered(dayNumber(parseDay(day)))).toBe(weekday);
  });

  // A month on from the 31st is the month's last day, and a year on from 29 February is the 28th.
  // Common practice, no source; the same as PostgreSQL and java.time do it (from memory).
  test.each([
    ['2031-01-31', 1, '2031-02-28'],
    ['2032-01-31', 1, '2032-02-29'],
    ['2032-02-29', 12, '2033-02-28'],
    ['2032-02-29', 48, '2036-02-29'],
    ['2031-10-31', 18, '2033-04-30'],
    ['2031-03-31', -1, '2031-02-28'],
  ])('%s and %i months is %s', (from, months, to) => {
    expect(addMonths(parseDay(from), months)).toBe(to);
  });

  // Independent: the Date of ECMAScript, in UTC, where no clock ever changes.
  test('adding, counting and naming days agree with ECMAScript’s Date', () => {
    const names: readonly Weekday[] = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];
    fc.assert(
      fc.property(anyDay, fc.integer({ min: -4000, max: 4000 }), (day, days) => {
        const [year = 0, month = 0, date = 0] = day.split('-').map(Number);
        const there = new Date(Date.UTC(year, month - 1, date + days));
        const right = written(there.getUTCFullYear(), there.getUTCMonth() + 1, there.getUTCDate()) as Day;
        expect(addDays(day, days)).toBe(right);
        expect(dayNumbered(dayNumber(day) + days)).toBe(right);
        expect(daysBetween(day, right)).toBe(days);
        expect(weekdayOf(right)).toBe(names[there.getUTCDay()]);
      }),
    );
  });
});

describe('local time where clocks change', () => {
  const newYork = parseZone('America/New_York');
  const lisbon = parseZone('Europe/Lisbon');
  const at = (day: string, time: string) => instantOf(parseDay(day), parseTimeOfDay(time), newYork);

  // Source: RFC 5545 section 3.3.5, form 3, with these very examples.
  test('a time that the change skips is read with the offset before it: 2:30 on 11 March 2007 is 3:30 EDT', () => {
    expect(formatInstant(at('2007-03-11', '2:30'))).toBe('2007-03-11T07:30:00Z');
    expect(parseInstant('2007-03-11T02:30', newYork)).toBe(parseInstant('2007-03-11T03:30-04:00', newYork));
  });
  test('a time that the change repeats is the first: 1:30 on 4 November 2007 is 1:30 EDT', () => {
    expect(formatInstant(at('2007-11-04', '1:30'))).toBe('2007-11-04T05:30:00Z');
    expect(parseInstant('2007-11-04T01:30', newYork)).toBe(parseInstant('2007-11-04T01:30-04:00', newYork));
  });

  const sunday = (year: number, month: number, which: number): string => {
    const days = Array.from({ length: 31 }, (_, i) => new Date(Date.UTC(year, month - 1, i + 1))).filter(
      (date) => date.getUTCMonth() === month - 1 && date.getUTCDay() === 0,
    );
    return days.at(which)?.toISOString().slice(0, 10) ?? '';
  };
  const hoursIn = (day: string, zone: typeof lisbon) =>
    (startOfDay(addDays(parseDay(day), 1), zone) - startOfDay(parseDay(day), zone)) / hourMs;

  // Source: Directive 2000/84/EC, articles 2 and 3: last Sunday of March and of October, at 01:00 UTC.
  test.each([2002, 2015, 2024, 2026, 2031, 2036])('Lisbon changes its clocks in %i as the directive says', (year) => {
    const [spring, autumn] = [sunday(year, 3, -1), sunday(year, 10, -1)];
    expect([hoursIn(spring, lisbon), hoursIn(autumn, lisbon)]).toEqual([23, 25]);
    const one = Date.parse(`${spring}T01:00:00Z`);
    expect([timeOfDayAt(one - 1, lisbon), timeOfDayAt(one, lisbon)]).toEqual(['00:59', '02:00']);
    const back = Date.parse(`${autumn}T01:00:00Z`);
    expect([timeOfDayAt(back - 1, lisbon), timeOfDayAt(back, lisbon)]).toEqual(['01:59', '01:00']);
  });

  // Source: RFC 5545 section 3.6.5, the example of New York since 2007: second Sunday of March, first of November, at 2:00.
  test.each([2007, 2015, 2024, 2026, 2031, 2036])('New York changes its clocks in %i as RFC 5545 has it', (year) => {
    const [spring, autumn] = [sunday(year, 3, 1), sunday(year, 11, 0)];
    expect([hoursIn(spring, newYork), hoursIn(autumn, newYork)]).toEqual([23, 25]);
    const two = Date.parse(`${spring}T07:00:00Z`);
    expect([timeOfDayAt(two - 1, newYork), timeOfDayAt(two, newYork)]).toEqual(['01:59', '03:00']);
    const back = Date.parse(`${autumn}T06:00:00Z`);
    expect([timeOfDayAt(back - 1, newYork), timeOfDayAt(back, newYork)]).toEqual(['01:59', '01:00']);
  });

  // Source: IANA time zone database, Brazil until 2018 and Egypt since 2023 change at midnight (from memory).
  test.each([
    ['America/Sao_Paulo', '2018-11-04'],
    ['Africa/Cairo', '2024-04-26'],
  ])('where the change skips midnight, as in %s on %s, the day begins at one', (name, day) => {
    const zone = parseZone(name);
    const start = startOfDay(parseDay(day), zone);
    expect(timeOfDayAt(start, zone)).toBe('01:00');
    expect(dayOf(start - 1, zone)).toBe(addDays(parseDay(day), -1));
  });

  // Independent: the Intl of Node, which has its own code for zones.
  test.each(['Europe/Lisbon', 'America/New_York', 'Australia/Lord_Howe', 'Asia/Kathmandu', 'Pacific/Apia'])(
    'day and time of any instant in %s agree with Intl',
    (name) => {
      const zone = parseZone(name);
      const intl = new Intl.DateTimeFormat('en-GB', {
        timeZone: name,
        year: 'numeric',
        month: '2-digit',
        day: '2-digit',
        hour: '2-digit',
        minute: '2-digit',
        hourCycle: 'h23',
      });
      fc.assert(
        fc.property(fc.integer({ min: 0, max: Date.UTC(2037, 11, 31) }), (atMs) => {
          const parts = new Map(intl.formatToParts(atMs).map(({ type, value }) => [type, value]));
          expect(dayOf(atMs, zone)).toBe(`${parts.get('year')}-${parts.get('month')}-${parts.get('day')}`);
          expect(timeOfDayAt(atMs, zone)).toBe(`${parts.get('hour')}:${parts.get('minute')}`);
        }),
      );
    },
  );
});
