import { expect, test } from 'vitest';
import { aHousehold, aTask } from '../../tests/stage/visit-scene.js';
import { addDays, type Day, parseDay } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import type { SeasonRule } from '../domain/task.js';
import { sayWhySeason } from '../words/why-season.js';
import { explainSeason } from './explain-season.js';

const beforeFrost: SeasonRule = { before: 'first-frost', days: 21 };

function said(
  rule: SeasonRule | undefined,
  calendarDay: Day | null,
  more: Partial<Household> = {},
  nights?: readonly Night[],
  today: Day = parseDay('2030-09-30'),
): readonly string[] {
  const household = { ...aHousehold(), ...more };
  const facts = { version: 1, machines: [], householdSent: [], ...(nights === undefined ? {} : { nights }) };
  const task = aTask('coolant', rule === undefined ? {} : { season: rule });
  const season = explainSeason({ calendarDay }, task, household, facts, today);
  return season === null ? [] : sayWhySeason(season, today, household);
}

/** Every night of two years up to 30 September 2030 at 4 °C, with frost from 20 November to 10 March. */
const twoYears: readonly Night[] = Array.from({ length: 730 }, (_, i) => addDays(parseDay('2030-09-30'), i - 729)).map(
  (day) => ({ day, celsius: day.slice(5) >= '11-20' || day.slice(5) <= '03-10' ? -2 : 4 }),
);

test('the frost day of the household’s word is named, with the day that is left of it', () => {
  expect(said(beforeFrost, parseDay('2030-09-29'), { frost: { first: '10-20' } })).toEqual([
    'The average first frost is reckoned for 20 October: household.yaml says so.',
    '21 days before that is 29 September.',
  ]);
});

test('where nobody names one the almanac’s day is owned up to, in the south its own', () => {
  expect(said(beforeFrost, parseDay('2030-09-24'))[0]).toBe(
    'The average first frost is reckoned for 15 October: household.yaml names none, so the almanac’s day stands in.',
  );
  expect(said({ before: 'last-frost', days: 0 }, parseDay('2030-11-01'), { hemisphere: 'south' })).toEqual([
    'The average last frost is reckoned for 1 November: household.yaml names none, so the almanac’s day stands in.',
  ]);
});

test('what a thermometer taught is said beside the word that it is mixed with', () => {
  // One autumn, 111 days after 1 August, and the almanac's 75: the middle of both is 93 days, 2 November.
  expect(said(beforeFrost, parseDay('2030-10-12'), {}, twoYears)).toEqual([
    'The average first frost is reckoned for 2 November: household.yaml names none, so the almanac’s day stands in, mixed with 1 autumn of the thermometer.',
    '21 days before that is 12 October.',
  ]);
});

test('a cold night that came sooner is named as the one that counts', () => {
  const rule: SeasonRule = { ...beforeFrost, nightsBelow: -1 };
  const nights = twoYears.map((night) => (night.day === '2030-09-28' ? { ...night, celsius: -1.5 } : night));
  expect(said(rule, parseDay('2030-09-28'), { frost: { first: '11-20' } }, nights).at(-1)).toMatch(
    /^The night of 28 September came sooner, with −1.5 °C: its day counts instead of \d+ October\.$/,
  );
});

test('a rule that counts from a date needs no frost, and a task without a season says nothing', () => {
  expect(said({ before: '10-15', days: 0 }, parseDay('2030-10-15'))).toEqual([]);
  expect(said(undefined, parseDay('2030-10-15'))).toEqual([]);
  expect(said(beforeFrost, null)).toEqual([]);
});
