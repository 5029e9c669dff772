import { expect, it } from 'vitest';
import { factsAbout, mower, type StagedBooks, stageBooks, stageVisit } from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import { confirmVisit } from './confirm-visit.js';
import { answerNoticed, enterNoticed } from './enter-noticed.js';
import { sayHelped, voidHelped } from './say-helped.js';
import { voidRecord } from './void-record.js';

function seenTo(books: StagedBooks): string {
  enterNoticed(books, { machine: mower.id, text: 'the deck hums', by: null, key: null });
  const answer = confirmVisit(books, {
    visit: stageVisit('visit-1', ['blades']),
    tasks: null,
    day: parseDay('2031-04-05'),
    hours: null,
    by: 'ines',
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    key: null,
  });
  if (answer.kind !== 'recorded') throw new Error(JSON.stringify(answer));
  answerNoticed(books, 'noticed-1', 'ines', answer.record.id);
  return answer.record.id;
}
const noticed = (books: StagedBooks) => factsAbout(books).noticed[0];

it('a yes closes what was noticed and stays on record with the visit that saw to it', () => {
  const books = stageBooks();
  const record = seenTo(books);
  expect(sayHelped(books, 'noticed-1', 'yes', 'ines')).toEqual({ kind: 'said', id: 'helped-1' });
  expect(sayHelped(books, 'noticed-1', 'yes', 'ines')).toEqual({ kind: 'already', id: 'helped-1' });
  books.reopen();
  expect(noticed(books)).toMatchObject({ state: 'answered', helped: [{ answer: 'yes', by: 'ines', record }] });
});

it('a no opens it again, and the next seeing to it is a question of its own', () => {
  const books = stageBooks();
  seenTo(books);
  expect(sayHelped(books, 'noticed-1', 'no', null)).toEqual({ kind: 'said', id: 'helped-1' });
  expect(noticed(books)).toMatchObject({ state: 'open', seenTo: null, helped: [{ answer: 'no' }] });
  expect(sayHelped(books, 'noticed-1', 'no', null)).toEqual({ kind: 'already', id: 'helped-1' });
  expect(sayHelped(books, 'noticed-1', 'yes', null)).toMatchObject({ fault: { code: 'not-seen-to' } });
  books.setNow('2031-04-20T10:00');
  answerNoticed(books, 'noticed-1', null);
  expect(sayHelped(books, 'noticed-1', 'yes', null)).toEqual({ kind: 'said', id: 'helped-2' });
  expect(noticed(books)?.helped.map(({ answer }) => answer)).toEqual(['no', 'yes']);
});

it('taken back, it is as if nobody had said it: a no leaves it seen to by the same visit', () => {
  const books = stageBooks();
  const record = seenTo(books);
  const before = noticed(books);
  sayHelped(books, 'noticed-1', 'no', 'ines');
  expect(voidHelped(books, 'helped-1', null, 'wood-saw')).toMatchObject({ fault: { code: 'noticed-unknown' } });
  expect(voidHelped(books, 'helped-1', null, mower.id).kind).toBe('voided');
  expect(voidHelped(books, 'helped-1', null, mower.id).kind).toBe('already');
  expect(noticed(books)).toEqual(before);
  expect(noticed(books)?.seenTo?.record).toBe(record);
  expect(voidHelped(books, 'helped-9', null)).toMatchObject({ fault: { code: 'noticed-unknown' } });
});

it('a better answer takes the place of “cannot tell yet”', () => {
  const books = stageBooks();
  seenTo(books);
  sayHelped(books, 'noticed-1', 'cannot-tell', null);
  sayHelped(books, 'noticed-1', 'yes', null);
  expect(noticed(books)?.helped).toMatchObject([{ id: 'helped-2', answer: 'yes' }]);
});

it('a record that is taken back has seen to nothing, and its no is not undone into a seeing to', () => {
  const books = stageBooks();
  const record = seenTo(books);
  voidRecord(books, record, null);
  expect(noticed(books)).toMatchObject({ state: 'open', seenTo: null });
  const again = stageBooks();
  const other = seenTo(again);
  sayHelped(again, 'noticed-1', 'no', null);
  voidRecord(again, other, null);
  voidHelped(again, 'helped-1', null);
  expect(noticed(again)).toMatchObject({ state: 'open', helped: [] });
});

it('what was said of a record that is taken back goes with it, and the next visit is asked about anew', () => {
  for (const answer of ['yes', 'cannot-tell', 'no'] as const) {
    const books = stageBooks();
    const record = seenTo(books);
    sayHelped(books, 'noticed-1', answer, 'ines');
    voidRecord(books, record, null);
    expect(noticed(books), answer).toMatchObject({ state: 'open', seenTo: null, helped: [] });
  }
});
