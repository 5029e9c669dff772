import { expect, it } from 'vitest';
import {
  mower,
  type StagedBooks,
  stageBooks,
  stageLetter,
  stageNotice,
  stageOutlook,
  stageVisit,
} from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import type { NoticeKind } from '../domain/household.js';
import { enterAnswer } from './answer.js';
import { confirmVisit } from './confirm-visit.js';
import { enterReading } from './enter-reading.js';
import { gather } from './gather.js';
import { allLetters, noteAttempt, noteSending } from './outbox.js';
import { postLetters } from './post.js';
import { withdrawUntrue } from './withdraw.js';

const visit = stageVisit('meadow-mower-blades-1', ['blades']);

/** Books with one letter that could not be delivered so far. */
function withWaiting(kind: NoticeKind): StagedBooks {
  const books = stageBooks();
  postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit, { kind }))]);
  noteSending(books, 'letter-1');
  noteAttempt(books, 'letter-1', { kind: 'try-later', reason: '451 greylisted', afterMs: null });
  return books;
}
const withdraw = (books: StagedBooks, planned = visit) =>
  withdrawUntrue(books, () => stageOutlook(books, [planned])) === 0
    ? 'waits on'
    : allLetters(books).map(({ state, lastWord }) => `${state}: ${lastWord}`)[0];
const said = (books: StagedBooks) => gather(books).machines.flatMap(({ sent }) => sent.map(({ kind }) => kind));

it('a letter whose words are true still waits on', () => {
  const books = withWaiting('work');
  expect(withdraw(books)).toBe('waits on');
  books.setNow('2031-04-12T23:59');
  expect(withdraw(books)).toBe('waits on');
  expect(said(books)).toEqual(['work']);
});

it('a call to work whose day is over is withdrawn, counts as not said, and may be said anew', () => {
  const books = withWaiting('work');
  const before = books.store.dataVersion();
  books.setNow('2031-04-13T00:01');
  expect(withdraw(books)).toBe('withdrawn: its day passed before it could go out');
  expect(said(books)).toEqual([]);
  expect(books.store.dataVersion()).not.toBe(before);
  expect(withdraw(books)).toBe('waits on');
  expect(noteSending(books, 'letter-1')).toBe(false);
  const again = stageLetter(stageNotice(visit));
  expect(postLetters(books, stageOutlook(books, [visit]), [again]).letters).toEqual(['letter-2']);
  expect(postLetters(books, stageOutlook(books, [visit]), [again]).letters).toEqual([]);
  expect(said(books)).toEqual(['work']);
});

it('nobody is called to work that was confirmed while the letter waited', () => {
  const books = withWaiting('work');
  confirmVisit(books, {
    visit,
    tasks: null,
    day: parseDay('2031-04-05'),
    hours: null,
    by: null,
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    key: null,
  });
  expect(withdraw(books)).toBe('withdrawn: the work was confirmed or left out meanwhile');
});

it('a question is withdrawn once the meter was read', () => {
  const books = withWaiting('reading');
  books.setNow('2031-04-06T10:00');
  expect(withdraw(books)).toBe('waits on');
  enterReading(books, {
    machine: mower.id,
    atMs: books.clock.nowMs(),
    hours: 131,
    by: 'ines',
    door: 'page',
    confirm: true,
    key: null,
  });
  expect(withdraw(books)).toBe('withdrawn: the meter was read meanwhile');
});

it('“ask me on” a later day and a visit that moved on end the call that waits, not the list of parts', () => {
  const later = { ...visit, day: parseDay('2031-04-26') };
  expect(withdraw(withWaiting('work'), later)).toBe('withdrawn: the work moved to a later day');
  expect(withdraw(withWaiting('parts'), later)).toBe('waits on');
  const books = withWaiting('late');
  books.setNow('2031-04-06T10:00');
  const atMs = books.clock.nowMs();
  enterAnswer(books, mower.id, { kind: 'ask-on', tasks: ['blades'], day: parseDay('2031-05-02'), atMs }, null);
  expect(withdraw(books)).toBe('withdrawn: somebody asked to be told later');
});

it('what a clock a year ahead wrote does not go out a year later', () => {
  const books = stageBooks();
  books.setNow('2032-04-05T10:00');
  const then = stageVisit(visit.id, visit.tasks, '2032-04-12');
  postLetters(books, stageOutlook(books, [then]), [stageLetter(stageNotice(then))]);
  books.setNow('2031-04-05T10:00');
  expect(withdraw(books)).toBe('withdrawn: the clock ran ahead when it was written');
});

it('what was given up after five days counts as not said', () => {
  const books = withWaiting('parts');
  books.setNow('2031-04-10T10:00');
  noteAttempt(books, 'letter-1', { kind: 'try-later', reason: '451 greylisted', afterMs: null });
  expect(allLetters(books)).toMatchObject([{ state: 'refused' }]);
  expect(said(books)).toEqual([]);
  const again = stageLetter(stageNotice(visit, { kind: 'parts' }));
  expect(postLetters(books, stageOutlook(books, [visit]), [again]).letters).toEqual(['letter-2']);
  expect(said(books)).toEqual(['parts']);
});

it('a letter about late work that never came is kept as one that nobody heard, other kinds are not', () => {
  const unheard = (books: StagedBooks) => gather(books).machines.flatMap(({ lateUnheard }) => lateUnheard);
  for (const kind of ['late', 'work'] as const) {
    const books = withWaiting(kind);
    expect(unheard(books)).toEqual([]);
    books.setNow('2031-04-13T00:01');
    expect(withdraw(books)).toMatch(/^withdrawn/);
    expect(said(books)).toEqual([]);
    expect(unheard(books).map((notice) => notice.kind)).toEqual(kind === 'late' ? ['late'] : []);
  }
});

it('word of a trouble that is over is withdrawn; while one of what it tells lasts, or nobody looked yet, it waits', () => {
  const about = {
    kind: 'trouble',
    machine: null,
    visit: null,
    tasks: ['backup', 'broker'],
    proposedDay: null,
  } as const;
  const waiting = () => {
    const books = stageBooks();
    postLetters(books, stageOutlook(books, [visit]), [stageLetter(stageNotice(visit, about))]);
    noteSending(books, 'letter-1');
    noteAttempt(books, 'letter-1', { kind: 'try-later', reason: '451 greylisted', afterMs: null });
    return books;
  };
  const ending = (ailing: readonly string[] | null) => {
    const books = waiting();
    withdrawUntrue(books, () => stageOutlook(books, [visit]), ailing === null ? null : new Set(ailing));
    return [allLetters(books)[0]?.state, gather(books).householdSent.length];
  };
  expect(ending(null)).toEqual(['pending', 1]);
  expect(ending(['broker', 'home-folder'])).toEqual(['pending', 1]);
  expect(ending(['home-folder'])).toEqual(['withdrawn', 0]);
  expect(ending([])).toEqual(['withdrawn', 0]);
});
