import { expect, it } from 'vitest';
import {
  type StagedBooks,
  stageBooks,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { addDays, type Day, parseDay } from '../domain/day.js';
import type { Delivery } from '../domain/results/envelope.js';
import { gather } from './gather.js';
import { allLetters, noteAttempt, noteSending } from './outbox.js';
import { postLetters } from './post.js';
import { sayRefusedAnew } from './say-anew.js';

const visit = stageVisit('meadow-mower-blades-1', ['blades']);
const refused: Delivery = { kind: 'refused', reason: '550 no such user' };
const taken: Delivery = { kind: 'delivered', detail: '250 ok' };
const firstDay = parseDay('2031-04-05');

const at = (books: StagedBooks, day: Day) => books.setNow(`${day}T10:00`);
const said = (books: StagedBooks) => gather(books).machines.flatMap(({ sent }) => sent.map(({ kind }) => kind));

/** Posts one notice on a day and lets its letter come to this. */
function send(books: StagedBooks, day: Day, answer: Delivery, kind: 'parts' | 'work' | 'late' = 'parts'): string {
  at(books, day);
  const notice = stageNotice(visit, { kind, proposedDay: addDays(day, 1) });
  const [id = 'none'] = postLetters(books, stageOutlook(books, [visit]), [stageLetter(notice)]).letters;
  noteSending(books, id);
  noteAttempt(books, id, answer);
  return id;
}

it('what a letter said that was refused for good counts as not said after five days, and may be said anew', () => {
  const books = stageBooks();
  send(books, firstDay, refused);
  at(books, addDays(firstDay, 4));
  expect(sayRefusedAnew(books)).toBe(0);
  expect(said(books)).toEqual(['parts']);
  at(books, addDays(firstDay, 5));
  const before = books.store.dataVersion();
  expect(sayRefusedAnew(books)).toBe(1);
  expect(books.store.dataVersion()).not.toBe(before);
  expect(said(books)).toEqual([]);
  expect(sayRefusedAnew(books)).toBe(0);
  expect(allLetters(books)).toMatchObject([{ state: 'refused', lastWord: '550 no such user' }]);
  expect(send(books, addDays(firstDay, 5), taken)).toBe('letter-2');
  expect(said(books)).toEqual(['parts']);
});

it('an address that refuses every letter is written to ever more rarely', () => {
  const books = stageBooks();
  const days: number[] = [];
  for (let n = 0; n < 200; n++) {
    at(books, addDays(firstDay, n));
    sayRefusedAnew(books);
    if (said(books).length > 0) continue;
    send(books, addDays(firstDay, n), refused);
    days.push(n);
  }
  expect(days).toEqual([0, 5, 15, 35, 75, 115, 155, 195]);
});

it('once a later letter to the same person goes out by the same way, what was refused may be said at once', () => {
  const books = stageBooks();
  send(books, firstDay, refused);
  send(books, addDays(firstDay, 1), taken, 'work');
  expect(sayRefusedAnew(books)).toBe(1);
  expect(said(books)).toEqual(['work']);
});

it('what went out, and what the program cannot know, stays said', () => {
  const books = stageBooks();
  send(books, firstDay, taken);
  send(books, addDays(firstDay, 1), { kind: 'try-later', reason: '451 busy', afterMs: null }, 'work');
  at(books, addDays(firstDay, 60));
  expect(sayRefusedAnew(books)).toBe(0);
  expect(said(books)).toEqual(['parts', 'work']);
});
