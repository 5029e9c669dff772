import { expect, test } from 'vitest';
import { addDays, dayOf } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import { enterNight } from '../../src/ledger/enter-night.js';
import { openPages } from '../stage/open-pages.js';

const inTheNorth = (home: Home): Home => {
  const { frost: _frost, ...household } = home.household;
  return { ...home, household: { ...household, temperature: { topic: 'garden/air', unit: 'C' } } };
};
const inTheSouth = (home: Home): Home => ({
  ...home,
  household: { ...inTheNorth(home).household, hemisphere: 'south' },
});

/** What the drawing of the months ahead says of frost on 28 February, down the page, after three years of nights with frost in
 *  these months; none: no nights. */
async function marksAfter(alter: (home: Home) => Home, frostMonths: readonly string[]): Promise<readonly string[]> {
  const pages = await openPages({}, true, alter);
  try {
    const today = dayOf(pages.books.clock.nowMs(), pages.books.home().household.zone);
    for (let back = frostMonths.length === 0 ? 0 : 1100; back > 0; back -= 1) {
      const day = addDays(today, -back);
      enterNight(pages.books, { day, celsius: frostMonths.includes(day.slice(5, 7)) ? -4 : 6 });
    }
    const { text } = await pages.get('/');
    return text.match(/(first|last) frost, most years/g) ?? [];
  } finally {
    await pages.close();
  }
}

test('the frost that a thermometer taught stands among the months ahead, without a word in household.yaml', async () => {
  // Frost from November to March: down the page the last one comes before the first one of the next winter.
  const both = ['last frost, most years', 'first frost, most years'];
  expect(await marksAfter(inTheNorth, ['11', '12', '01', '02', '03'])).toEqual(both);
});

test('south of the equator the first frost comes before the last', async () => {
  expect(await marksAfter(inTheSouth, ['05', '06', '07'])).toEqual([
    'first frost, most years',
    'last frost, most years',
  ]);
});

test('the almanac’s day is no mark: it is of no place', async () => {
  expect(await marksAfter(inTheNorth, [])).toEqual([]);
});

test('the household’s own word stands without a night told of', async () => {
  const own = (home: Home): Home => ({ ...home, household: { ...home.household, frost: { last: '04-20' } } });
  expect(await marksAfter(own, [])).toEqual(['last frost, most years']);
});
