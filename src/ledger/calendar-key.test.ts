import { expect, it } from 'vitest';
import { stageBooks } from '../../tests/stage/ledger-books.js';
import { calendarKey, opensCalendar, renewCalendarKey } from './calendar-key.js';

it('the address stays the same, also after a restart', () => {
  const books = stageBooks();
  const { token } = calendarKey(books);
  expect(token).toMatch(/^[A-Za-z0-9_-]{43}$/);
  books.reopen();
  expect(calendarKey(books).token).toBe(token);
  expect(opensCalendar(books, token)).toBe(true);
});

it('nothing but the whole token opens the calendar, not even another spelling of the same bytes', () => {
  const books = stageBooks();
  expect(opensCalendar(books, '')).toBe(false);
  const { token } = calendarKey(books);
  expect(opensCalendar(books, '')).toBe(false);
  expect(opensCalendar(books, token.slice(0, -1))).toBe(false);
  expect(opensCalendar(books, `${token}A`)).toBe(false);
  const alphabet = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_';
  const opening = [...alphabet].filter((last) => opensCalendar(books, token.slice(0, -1) + last));
  expect(opening).toEqual([token.at(-1)]);
});

it('a new address ends the one before for good', () => {
  const books = stageBooks();
  const before = calendarKey(books);
  const after = renewCalendarKey(books, before.id);
  expect(after.token).not.toBe(before.token);
  expect(opensCalendar(books, before.token)).toBe(false);
  expect(opensCalendar(books, after.token)).toBe(true);
  expect(calendarKey(books)).toEqual(after);
});

it('the same wish twice makes one new address', () => {
  const books = stageBooks();
  const { id } = calendarKey(books);
  expect(renewCalendarKey(books, id)).toEqual(renewCalendarKey(books, id));
  expect(renewCalendarKey(books, 'calendar-99')).toEqual(calendarKey(books));
});
