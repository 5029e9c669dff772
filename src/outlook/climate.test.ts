import { expect, test } from 'vitest';
import { aHousehold } from '../../tests/stage/visit-scene.js';
import { addDays, parseDay } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import { sayClimate } from '../words/climate.js';
import { climateOf } from './climate.js';

const today = parseDay('2030-06-30');
const thermometer = { temperature: { topic: 'garden/air', unit: 'C' } } as const;

/** So many nights up to today at 4 °C, with frost from 20 November to 10 March at the given cold. */
function nightsUpTo(count: number, frost: number): readonly Night[] {
  return Array.from({ length: count }, (_, i) => {
    const day = addDays(today, i + 1 - count);
    const monthDay = day.slice(5);
    return { day, celsius: monthDay >= '11-20' || monthDay <= '03-10' ? frost : 4 };
  });
}

function said(more: Partial<Household>, nights?: readonly Night[]): readonly string[] {
  const household = { ...aHousehold(), ...more };
  const facts = { version: 1, machines: [], householdSent: [], ...(nights === undefined ? {} : { nights }) };
  return sayClimate(climateOf(household, facts, today), household);
}

test('what the household names is said to come from it', () => {
  expect(said({ frost: { first: '10-20', last: '04-25' }, coldestCelsius: -12 })).toEqual([
    'The average first frost is reckoned for 20 October: household.yaml says so.',
    'The average last frost is reckoned for 25 April: household.yaml says so.',
    'The coldest night is reckoned with at −12 °C: household.yaml says so.',
  ]);
});

test('the order of day and month is that of the household', () => {
  expect(said({ frost: { first: '09-28', last: '02-29' }, locale: 'en-US' }).slice(0, 2)).toEqual([
    'The average first frost is reckoned for September 28: household.yaml says so.',
    'The average last frost is reckoned for February 29: household.yaml says so.',
  ]);
});

test('where nobody names anything the almanac stands in, and the cold is unknown', () => {
  expect(said({})).toEqual([
    'The average first frost is reckoned for 15 October: household.yaml names none, so the almanac’s day stands in.',
    'The average last frost is reckoned for 1 May: household.yaml names none, so the almanac’s day stands in.',
    'How cold it gets is not known: household.yaml names no coldest night, and no thermometer is set.',
  ]);
});

test('what a thermometer taught is said with the nights and seasons behind it, in the units of the household', () => {
  const [first, last, coldest] = said({ ...thermometer, units: 'us' }, nightsUpTo(730, -7));
  // The almanac's day counts for one season beside two: (0 + 36 + 36) / 3 days after 15 October.
  expect(first).toBe(
    'The average first frost is reckoned for 8 November: household.yaml names none, so the almanac’s day stands in, mixed with 2 autumns of the thermometer.',
  );
  // The spring of this year is over only with July.
  expect(last).toContain('mixed with 1 spring of the thermometer');
  // Three degrees below the coldest of a few years: -10 °C is 14 °F.
  expect(coldest).toBe(
    'The coldest night is reckoned with at 14 °F (−10 °C): learnt from 730 nights of the thermometer.',
  );
});

test('a thermometer of a few weeks says that it knows too little', () => {
  expect(said(thermometer, nightsUpTo(40, -7))[2]).toContain('told of 40 nights, which is less than a year’s');
});

test('nights after today do not count', () => {
  const ahead = nightsUpTo(730, -7).map(({ day, celsius }) => ({ day: addDays(day, 420), celsius }));
  expect(said(thermometer, ahead)[2]).toContain('told of 310 nights');
});
