import { expect, it } from 'vitest';
import {
  type StagedBooks,
  stageBooks,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { formatInstant, minuteMs } from '../domain/day.js';
import type { Delivery } from '../domain/results/envelope.js';
import { attemptsAt } from '../store/facts/attempts.js';
import { allLetters, noteAttempt, noteSending, waitingLetters } from './outbox.js';
import { postLetters } from './post.js';

const later: Delivery = { kind: 'try-later', reason: '451 greylisted', afterMs: null };

function withLetter(): StagedBooks {
  const books = stageBooks();
  const visit = stageVisit('meadow-mower-blades-1', ['blades']);
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit))]);
  return books;
}
const moveTo = (books: StagedBooks, atMs: number) => books.setNow(new Date(atMs).toISOString());
const only = (books: StagedBooks) => {
  const [letter] = allLetters(books);
  if (letter === undefined) throw new Error('no letter');
  return letter;
};

it('a letter waits until it is delivered, and then no more', () => {
  const books = withLetter();
  expect(waitingLetters(books).map((l) => l.id)).toEqual(['letter-1']);
  expect(noteSending(books, 'letter-1')).toBe(true);
  expect(waitingLetters(books)).toEqual([]);
  noteAttempt(books, 'letter-1', { kind: 'delivered', detail: '250 ok' });
  expect(only(books)).toMatchObject({ state: 'delivered', lastWord: '250 ok', attempts: 1 });
  expect(waitingLetters(books)).toEqual([]);
  expect(noteSending(books, 'letter-1')).toBe(false);
});

it('a letter keeps its picture until it is out, and its words for good', () => {
  const books = stageBooks();
  const visit = stageVisit('meadow-mower-blades-1', ['blades']);
  const staged = stageLetter(stageNotice(visit));
  const picture = { svg: '<svg xmlns="http://www.w3.org/2000/svg"/>', alt: 'Hours over time.' };
  postLetters(books, stageOutlook(books, [visit]), [{ ...staged, letter: { ...staged.letter, picture } }]);
  noteSending(books, 'letter-1');
  noteAttempt(books, 'letter-1', later);
  expect(only(books).letter.picture).toEqual(picture);
  moveTo(books, only(books).nextTryAtMs);
  noteSending(books, 'letter-1');
  noteAttempt(books, 'letter-1', { kind: 'delivered', detail: '250 ok' });
  expect(only(books).letter).toEqual(staged.letter);
});

it('what can be delivered later is tried at growing distances over five days, then given up and shown', () => {
  const books = withLetter();
  const waits: number[] = [];
  for (let tries = 0; tries < 50 && only(books).state === 'pending'; tries += 1) {
    const before = only(books);
    moveTo(books, before.nextTryAtMs);
    expect(waitingLetters(books)).toHaveLength(1);
    noteSending(books, before.id);
    noteAttempt(books, before.id, later);
    if (only(books).state === 'pending') waits.push((only(books).nextTryAtMs - before.nextTryAtMs) / minuteMs);
  }
  expect(waits.slice(0, 7)).toEqual([5, 15, 60, 180, 360, 720, 1440]);
  expect(waits.reduce((sum, wait) => sum + wait, 0)).toBe(5 * 1440);
  expect(only(books)).toMatchObject({ state: 'refused', lastWord: 'given up after five days: 451 greylisted' });
});

it('between attempts it is left alone, also over a restart', () => {
  const books = withLetter();
  noteSending(books, 'letter-1');
  noteAttempt(books, 'letter-1', later);
  books.reopen();
  expect(waitingLetters(books)).toEqual([]);
  books.setNow('2031-04-05T10:04:59');
  expect(waitingLetters(books)).toEqual([]);
  books.setNow('2031-04-05T10:05');
  expect(waitingLetters(books)).toHaveLength(1);
});

it('the wait that the other side asks for is kept, a day at most', () => {
  const books = withLetter();
  noteAttempt(books, 'letter-1', { ...later, afterMs: 40 * minuteMs });
  expect(formatInstant(only(books).nextTryAtMs)).toBe('2031-04-05T09:40:00Z');
  noteAttempt(books, 'letter-1', { ...later, afterMs: Number.POSITIVE_INFINITY });
  expect(only(books).nextTryAtMs).toBe(books.clock.nowMs() + 15 * minuteMs);
});

it('a server that names no wait at all is not asked every minute', () => {
  const books = withLetter();
  noteAttempt(books, 'letter-1', { ...later, afterMs: 0 });
  expect(only(books).nextTryAtMs).toBe(books.clock.nowMs() + 5 * minuteMs);
});

it('what a clock that ran ahead put off is tried once the clock is right', () => {
  const books = withLetter();
  books.setNow('2031-04-09T10:00');
  noteAttempt(books, 'letter-1', { ...later, afterMs: 20 * 60 * minuteMs });
  books.setNow('2031-04-05T11:00');
  expect(waitingLetters(books)).toHaveLength(1);
});

it('what was refused for good is not tried again', () => {
  const books = withLetter();
  noteSending(books, 'letter-1');
  noteAttempt(books, 'letter-1', { kind: 'refused', reason: '550 no such person' });
  books.setNow('2031-05-01T10:00');
  expect(waitingLetters(books)).toEqual([]);
  expect(only(books)).toMatchObject({ state: 'refused', lastWord: '550 no such person' });
});

it('a crash while sending: it comes once more under the same Message-ID, never a third time', () => {
  const books = withLetter();
  const messageId = only(books).messageId;
  noteSending(books, 'letter-1');
  books.reopen();
  expect(waitingLetters(books)).toMatchObject([{ id: 'letter-1', messageId }]);
  expect(noteSending(books, 'letter-1')).toBe(true);
  books.reopen();
  expect(waitingLetters(books)).toEqual([]);
  expect(noteSending(books, 'letter-1')).toBe(false);
  expect(only(books)).toMatchObject({ state: 'unknown', messageId });
  expect(attemptsAt(books.store, 'letter-1').map((a) => a.outcome)).toEqual(['crashed', 'crashed']);
});

it('a crash before sending loses nothing', () => {
  const books = withLetter();
  books.reopen();
  expect(waitingLetters(books)).toHaveLength(1);
});

it('marks of the outbox leave the version of the facts as it is', () => {
  const books = withLetter();
  const version = books.store.dataVersion();
  noteSending(books, 'letter-1');
  noteAttempt(books, 'letter-1', later);
  expect(books.store.dataVersion()).toBe(version);
});
