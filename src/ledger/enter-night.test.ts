import { expect, test } from 'vitest';
import { stageBooks } from '../../tests/stage/ledger-books.js';
import { aDay } from '../../tests/stage/small-machine.js';
import { addDays } from '../domain/day.js';
import { nightsOf } from '../store/facts/nights.js';
import { enterNight } from './enter-night.js';

test('a day keeps one row, its lowest', () => {
  const books = stageBooks();
  for (const celsius of [4, -1.5, 2]) enterNight(books, { day: aDay('2031-11-20'), celsius });
  enterNight(books, { day: aDay('2031-11-19'), celsius: 6 });
  expect(nightsOf(books.store)).toEqual([
    { day: '2031-11-19', celsius: 6 },
    { day: '2031-11-20', celsius: -1.5 },
  ]);
});

test('ten years are kept, and no more', () => {
  const books = stageBooks();
  books.store.write(() => {
    for (let i = 0; i < 3700; i++) enterNight(books, { day: addDays(aDay('2021-01-01'), i), celsius: 1 });
  });
  const kept = nightsOf(books.store);
  expect(kept).toHaveLength(3660);
  expect(kept.at(-1)?.day).toBe(addDays(aDay('2021-01-01'), 3699));
});
