import { expect, test } from 'vitest';
import { aHousehold, aMachine, aTask, inDays } from '../../tests/stage/visit-scene.js';
import { addDays } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Night } from '../domain/night.js';
import { sayLimits } from '../inspection/say-limits.js';
import { forTheCold } from './for-the-cold.js';

const work = aTask('winter', {
  fluids: [
    {
      name: 'engine oil',
      quantity: '1 L',
      choices: [
        { grade: 'SAE 30', coldest: '5 C' },
        { grade: '10W-30', coldest: '-15 C' },
        { grade: '5W-30', coldest: '-25 C' },
      ],
    },
  ],
  measure: [{ id: 'strength', name: 'coolant', specification: { kind: 'atMost', max: '-26 C', belowColdest: '8 C' } }],
});

function said(household: Household, nights?: readonly Night[]) {
  const facts = { version: 1, machines: [], householdSent: [], ...(nights === undefined ? {} : { nights }) };
  const [task] = forTheCold(aMachine([work], {}), household, facts).tasks;
  const [measurement] = task?.measure ?? [];
  return { limit: measurement === undefined ? '' : sayLimits(measurement.specification), notes: task?.notes ?? [] };
}

/** Six years of nights up to today with one cold one in the middle of each winter. */
function sixYears(winterDay: string, celsius: number): readonly Night[] {
  return Array.from({ length: 2190 }, (_, i) => addDays(inDays(0), i - 2190)).map((day) => ({
    day,
    celsius: day.slice(5) === winterDay ? celsius : 7,
  }));
}

test('the household’s word sets the limit of the coolant and the grade of the oil', () => {
  expect(said(aHousehold({ coldestCelsius: -12 }))).toEqual({
    limit: 'protects to −20 °C or colder: your coldest night is −12 °C',
    notes: ['engine oil: 10W-30, for nights down to −15 °C; your coldest night is −12 °C.'],
  });
});

test.each([
  ['north', '01-20'],
  ['south', '07-20'],
] as const)('in the %s the cold that a thermometer saw in winter does the same', (hemisphere, winterDay) => {
  const household = aHousehold({ hemisphere });
  expect(said(household, sixYears(winterDay, -9))).toEqual({
    limit: 'protects to −17 °C or colder: your coldest night is −9 °C',
    notes: ['engine oil: 10W-30, for nights down to −15 °C; your coldest night is −9 °C.'],
  });
});

test('where nobody knows the cold, the plan’s figure and the grade that stands the most are said to be just that', () => {
  expect(said(aHousehold())).toEqual({
    limit: 'protects to −26 °C or colder: the plan’s own figure, because your coldest night is not known',
    notes: [
      'engine oil: 5W-30, for nights down to −25 °C, the most that this plan names, because your coldest night is not known.',
    ],
  });
});

test('a cold that no grade of the plan stands sends the owner to the manual, in Fahrenheit where that is used', () => {
  expect(said(aHousehold({ coldestCelsius: -32, units: 'us' })).notes).toEqual([
    'engine oil: 5W-30 is for nights down to −13 °F only, and your coldest night is −26 °F. Ask the machine’s manual for a grade that stands it.',
  ]);
});
