import { expect, test } from 'vitest';
import { aDay, someHousehold } from '../../tests/stage/small-machine.js';
import { addDays, type Day, dayNumber } from '../domain/day.js';
import type { Night } from '../domain/night.js';
import { firstFrosts } from './frost.js';
import { seasonDay } from './season.js';
import { withWeather } from './weather.js';

/** Years of nights at 8 degrees with one frost on each of the named days, at -6. */
function nightsFrom(first: Day, days: number, frosts: readonly Day[]): readonly Night[] {
  return Array.from({ length: days }, (_, i) => addDays(first, i)).map((day) => ({
    day,
    celsius: frosts.includes(day) ? -6 : 8,
  }));
}
const frosts = ['2029-11-10', '2030-04-10', '2030-11-20', '2031-04-20'].map(aDay);
const twoYears = nightsFrom(aDay('2029-08-01'), 730, frosts);
const home = someHousehold({ frost: { first: '10-15', last: '05-01' } });

test('without a night the household stays as it is', () => {
  expect(withWeather(home, [], aDay('2031-09-01'))).toBe(home);
});

test('the household’s own word counts for three seasons, so that few winters move it little', () => {
  const { frost } = withWeather(home, twoYears, aDay('2031-09-01'));
  // Days from 15 October: (3 * 0 + 26 + 36) / 5 = 12.4; from 1 May back: (0 - 21 - 11) / 5 = -6.4.
  expect(frost).toEqual({ first: '10-27', last: '04-25' });
});

test('without a word of its own the almanac counts for one season', () => {
  const { frost } = withWeather(someHousehold(), twoYears, aDay('2031-09-01'));
  expect(frost?.first).toBe('11-05');
});

test('the coldest night is learnt once a year is known, with a margin while years are few; the own word stands', () => {
  expect(withWeather(home, twoYears, aDay('2031-09-01')).coldestCelsius).toBe(-9);
  expect(withWeather(home, twoYears, aDay('2030-02-01')).coldestCelsius).toBeUndefined();
  expect(withWeather({ ...home, coldestCelsius: -20 }, twoYears, aDay('2031-09-01')).coldestCelsius).toBe(-20);
});

test('a season that began before the thermometer, or has too many gaps, does not count', () => {
  expect(firstFrosts(twoYears.slice(60), 'north').map(({ day }) => day)).toEqual(['2030-11-20']);
  const gaps = twoYears.filter(({ day }) => day > '2029-11-01' || dayNumber(day) % 5 !== 0);
  expect(firstFrosts(gaps, 'north').map(({ day }) => day)).toEqual(['2030-11-20']);
  const fewGaps = twoYears.filter(({ day }) => dayNumber(day) % 12 !== 0 || frosts.includes(day));
  expect(firstFrosts(fewGaps, 'north')).toHaveLength(2);
});

test('in the south winter is in July', () => {
  const south = nightsFrom(aDay('2030-02-01'), 365, [aDay('2030-05-02'), aDay('2030-09-30')]);
  const { frost } = withWeather(someHousehold({ hemisphere: 'south' }), south, aDay('2031-03-01'));
  expect(frost).toEqual({ first: '04-24', last: '10-16' });
});

test('a cold night brings work before its day where the rule asks for it, and a cold spring does not', () => {
  const rule = { before: 'first-frost', days: 14, nightsBelow: 3 } as const;
  const last = aDay('2030-10-20');
  const cold = (day: string) => ({ ...home, nights: [{ day: aDay(day), celsius: 2.5 }] });
  expect(seasonDay(rule, last, true, cold('2031-09-12'))).toBe('2031-09-12');
  expect(seasonDay(rule, last, true, cold('2031-05-12'))).toBe('2031-10-01');
  expect(seasonDay({ ...rule, nightsBelow: 1 }, last, true, cold('2031-09-12'))).toBe('2031-10-01');
  expect(seasonDay({ before: 'first-frost', days: 14 }, last, true, cold('2031-09-12'))).toBe('2031-10-01');
});

test.each([
  ['north', '2031-06-20', '2031-09-20', '2031-08-28'],
  ['south', '2031-12-20', '2032-03-20', '2032-02-28'],
] as const)(
  'in the %s a cold night of early summer brings no work before the winter',
  (hemisphere, spring, day, autumn) => {
    const frost = { first: hemisphere === 'north' ? '10-20' : '04-19' };
    const nights = [spring, autumn].map((on) => ({ day: aDay(on), celsius: 3 }));
    const rule = { before: 'first-frost', days: 30, nightsBelow: 4 } as const;
    const household = someHousehold({ hemisphere, frost });
    const last = addDays(aDay(spring), -240);
    expect(seasonDay(rule, last, true, { ...household, nights: nights.slice(0, 1) })).toBe(day);
    expect(seasonDay(rule, last, true, { ...household, nights })).toBe(autumn);
  },
);
