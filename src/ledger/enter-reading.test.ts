import { expect, it } from 'vitest';
import { confirm } from '../../tests/stage/confirm-mower.js';
import { bookZone, factsAbout, mower, saw, stageBooks } from '../../tests/stage/ledger-books.js';
import { parseDay, parseInstant } from '../domain/day.js';
import type { Books } from './books.js';
import { confirmVisit } from './confirm-visit.js';
import { enterNotUsed } from './enter-not-used.js';
import {
  confirmAside,
  correctAside,
  dropAside,
  enterReading,
  type ReadingToEnter,
  readHoursText,
} from './enter-reading.js';
import { hoursTold, questionsAnsweredBy } from './told.js';
import { voidReading } from './void-reading.js';
import { voidRecord } from './void-record.js';

const at = (text: string) => parseInstant(text, bookZone);
const enter = (books: Books, hours: number, more: Partial<ReadingToEnter> = {}) =>
  enterReading(books, {
    machine: mower.id,
    hours,
    atMs: books.clock.nowMs(),
    by: 'ines',
    door: 'page',
    confirm: false,
    key: null,
    ...more,
  });

it('a believable reading counts and stays after a restart', () => {
  const books = stageBooks();
  const entry = enter(books, 162.5);
  expect(entry.kind).toBe('counted');
  books.reopen();
  expect(factsAbout(books).readings).toEqual([
    { id: 'reading-1', atMs: books.clock.nowMs(), hours: 162.5, about: false, door: 'page', by: 'ines' },
  ]);
});

it('the same machine, instant and hours is one reading', () => {
  const books = stageBooks();
  enter(books, 162.5);
  const version = books.store.dataVersion();
  expect(enter(books, 162.5, { by: 'tomas', door: 'command' })).toMatchObject({
    kind: 'already',
    reading: { by: 'ines' },
  });
  expect(books.store.dataVersion()).toBe(version);
});

it('equal hours within a minute are fine', () => {
  const books = stageBooks();
  enter(books, 162.5);
  books.setNow('2031-04-05T10:00:40');
  expect(enter(books, 162.5).kind).toBe('counted');
});

it('the same key twice with the same hours is one reading, however much later', () => {
  const books = stageBooks();
  enter(books, 162.5, { key: 'form-1' });
  books.setNow('2031-04-05T10:05');
  expect(enter(books, 162.5, { key: 'form-1' })).toMatchObject({ kind: 'already', reading: { hours: 162.5 } });
  expect(factsAbout(books).readings).toHaveLength(1);
});

it.each([
  ['below the last one', 119.9],
  ['negative', -5],
  ['NaN', Number.NaN],
  ['an infinity', Number.POSITIVE_INFINITY],
  ['1e308', 1e308],
  ['more than 24 hours a day', 120 + 24 * 340 + 1],
])('a reading that is %s is refused, even when confirmed, and stores nothing', (_name, hours) => {
  const books = stageBooks();
  const version = books.store.dataVersion();
  for (const confirm of [false, true]) {
    const entry = enter(books, hours, { confirm });
    expect(entry.kind).toBe('refused');
    if (entry.kind === 'refused') expect(entry.fault.remedy).toBeTruthy();
  }
  expect(books.store.dataVersion()).toBe(version);
  expect(factsAbout(books).aside).toEqual([]);
});

it('a reading of tomorrow is refused; one a little ahead of this clock is of now', () => {
  const books = stageBooks();
  expect(enter(books, 162.5, { atMs: at('2031-04-06T10:00') }).kind).toBe('refused');
  expect(enter(books, 162.5, { atMs: at('2031-04-05T10:02') })).toMatchObject({
    kind: 'counted',
    reading: { atMs: books.clock.nowMs() },
  });
});

it('an unknown machine, and one without a meter, are refused', () => {
  const books = stageBooks();
  expect(enter(books, 10, { machine: 'boat' })).toMatchObject({ kind: 'refused', fault: { code: 'machine-unknown' } });
  expect(enter(books, 10, { machine: saw.id }).kind).toBe('refused');
});

it('a questionable reading is kept aside with a question, and counts once confirmed', () => {
  const books = stageBooks();
  const entry = enter(books, 1625);
  expect(entry.kind).toBe('aside');
  if (entry.kind !== 'aside') return;
  expect(entry.aside.question).toMatch(/\?$/);
  expect(factsAbout(books)).toMatchObject({ readings: [], aside: [{ hours: 1625 }] });
  expect(confirmAside(books, entry.aside.id, 'ines')).toMatchObject({ kind: 'counted', reading: { hours: 1625 } });
  expect(confirmAside(books, entry.aside.id, 'ines').kind).toBe('already');
  expect(factsAbout(books)).toMatchObject({ readings: [{ hours: 1625 }], aside: [] });
});

it('a questionable reading entered again is one question; entered with confirm it counts and the question is gone', () => {
  const books = stageBooks();
  enter(books, 1625, { key: 'form-1' });
  enter(books, 1625, { key: 'form-1' });
  enter(books, 1625, { key: 'form-2' });
  expect(factsAbout(books).aside).toHaveLength(1);
  expect(enter(books, 1625, { key: 'form-1', confirm: true }).kind).toBe('counted');
  expect(enter(books, 1625, { key: 'form-1', confirm: true }).kind).toBe('already');
  expect(factsAbout(books)).toMatchObject({ readings: [{ hours: 1625 }], aside: [] });
});

it('a dropped one never counts', () => {
  const books = stageBooks();
  const entry = enter(books, 1625);
  if (entry.kind !== 'aside') throw new Error(entry.kind);
  expect(dropAside(books, entry.aside.id, 'ines').kind).toBe('dropped');
  expect(dropAside(books, entry.aside.id, 'ines').kind).toBe('already');
  expect(confirmAside(books, entry.aside.id, 'ines')).toMatchObject({
    kind: 'refused',
    fault: { code: 'aside-dropped' },
  });
  expect(factsAbout(books)).toMatchObject({ readings: [], aside: [] });
});

it('confirming what a later reading has made impossible is refused', () => {
  const books = stageBooks();
  const entry = enter(books, 1625);
  if (entry.kind !== 'aside') throw new Error(entry.kind);
  books.setNow('2031-04-06T10:00');
  enter(books, 163);
  expect(confirmAside(books, entry.aside.id, 'ines').kind).toBe('refused');
  expect(factsAbout(books)).toMatchObject({ readings: [{ hours: 163 }], aside: [] });
});

it('the right number entered after a questionable one answers its question, of that day or later, not of a day before', () => {
  const books = stageBooks();
  const asked = enter(books, 1625);
  if (asked.kind !== 'aside') throw new Error(asked.kind);
  enter(books, 158, { atMs: at('2031-03-20T10:00') });
  expect(factsAbout(books).aside).toHaveLength(1);
  const right = enter(books, 162.5, { atMs: at('2031-04-05T08:00') });
  if (right.kind !== 'counted') throw new Error(right.kind);
  expect(factsAbout(books).aside).toEqual([]);
  expect(questionsAnsweredBy(books, right.reading.id)).toEqual([1625]);
  expect(confirmAside(books, asked.aside.id, 'ines')).toMatchObject({
    kind: 'refused',
    fault: { code: 'aside-dropped', message: expect.stringContaining(right.reading.id) },
  });
  expect(factsAbout(books).readings.map((reading) => reading.hours)).toEqual([158, 162.5]);
});

it('a question about an entry of long ago waits on when the meter is read anew', () => {
  const books = stageBooks();
  enter(books, 150, { atMs: at('2031-03-20T10:00') });
  const late = enter(books, 149, { atMs: at('2030-06-01T10:00') });
  expect(late.kind).toBe('aside');
  expect(enter(books, 151).kind).toBe('counted');
  expect(factsAbout(books).aside).toMatchObject([{ hours: 149 }]);
  // What is entered for that day answers it.
  expect(enter(books, 124, { atMs: at('2030-06-01T12:00') }).kind).toBe('counted');
  expect(factsAbout(books).aside).toEqual([]);
});

it('a question is open again once the reading that answered it is taken back, unless a later one answers it too', () => {
  const books = stageBooks();
  const counted = (hours: number, more: Partial<ReadingToEnter> = {}) => {
    const entry = enter(books, hours, more);
    if (entry.kind !== 'counted') throw new Error(entry.kind);
    return entry.reading.id;
  };
  enter(books, 1625);
  const first = counted(162.5, { atMs: at('2031-04-05T08:00') });
  books.setNow('2031-04-06T10:00');
  const later = counted(162.6);
  voidReading(books, first, null);
  expect(factsAbout(books).aside).toEqual([]);
  expect(questionsAnsweredBy(books, later)).toEqual([1625]);
  voidReading(books, later, null);
  expect(factsAbout(books).aside).toMatchObject([{ hours: 1625 }]);
});

it('hours that were counted in spite of their question and taken back are not asked about again', () => {
  const books = stageBooks();
  enter(books, 1625);
  books.setNow('2031-04-05T10:05');
  const entry = enter(books, 1625, { confirm: true });
  if (entry.kind !== 'counted') throw new Error(entry.kind);
  voidReading(books, entry.reading.id, null);
  expect(factsAbout(books)).toMatchObject({ readings: [], aside: [] });
});

it('a record that is taken back opens the question that its hours answered', () => {
  const books = stageBooks();
  enter(books, 1625);
  books.setNow('2031-04-05T10:05');
  const done = confirm(books, {
    visit: { id: 'meadow-mower-blades-1', machine: mower.id, tasks: ['blades'] },
    hours: 162.5,
    door: 'page',
  });
  if (done.kind !== 'recorded') throw new Error(done.kind);
  expect(factsAbout(books).aside).toEqual([]);
  voidRecord(books, done.record.id, null);
  expect(factsAbout(books)).toMatchObject({ readings: [], aside: [{ hours: 1625 }] });
});

it('a questionable one confirmed answers its own question as right, and the others of that day', () => {
  const books = stageBooks();
  const first = enter(books, 1625);
  enter(books, 1652);
  expect(factsAbout(books).aside).toHaveLength(2);
  if (first.kind !== 'aside') throw new Error(first.kind);
  const entry = confirmAside(books, first.aside.id, 'ines');
  if (entry.kind !== 'counted') throw new Error(entry.kind);
  expect(factsAbout(books).aside).toEqual([]);
  expect(questionsAnsweredBy(books, entry.reading.id)).toEqual([1652]);
  expect(confirmAside(books, first.aside.id, 'ines').kind).toBe('already');
});

it('a voided reading no longer counts, and can be entered anew under the same key', () => {
  const books = stageBooks();
  enter(books, 162.5, { key: 'form-1' });
  expect(voidReading(books, 'reading-1', 'ines').kind).toBe('voided');
  expect(voidReading(books, 'reading-1', 'ines').kind).toBe('already');
  expect(factsAbout(books).readings).toEqual([]);
  expect(enter(books, 150, { key: 'form-1' }).kind).toBe('counted');
  expect(voidReading(books, 'reading-77', null)).toMatchObject({ kind: 'refused', fault: { code: 'reading-unknown' } });
});

it('what was told of the hours is listed newest first, taken back or not', () => {
  const books = stageBooks();
  enter(books, 158, { atMs: at('2031-03-20T10:00') });
  enter(books, 162.5);
  enterNotUsed(books, { machine: mower.id, since: parseDay('2031-04-01'), by: 'ines', door: 'page' });
  expect(voidReading(books, 'reading-2', 'ines').kind).toBe('voided');
  expect(voidReading(books, 'not-used-1', 'ines').kind).toBe('voided');
  expect(voidReading(books, 'not-used-1', 'ines').kind).toBe('already');
  expect(factsAbout(books)).toMatchObject({ readings: [{ hours: 158 }], notUsed: [] });
  const nowMs = books.clock.nowMs();
  expect(hoursTold(books, mower.id, { from: 0, most: 2 })).toMatchObject({
    entries: [
      { id: 'not-used-1', takenBackAtMs: nowMs },
      { id: 'reading-2', takenBackAtMs: nowMs },
    ],
    goesOn: true,
  });
  const rest = hoursTold(books, mower.id, { from: 2, most: 2 });
  expect(rest).toMatchObject({ entries: [{ id: 'reading-1', hours: 158, takenBackAtMs: null }], goesOn: false });
});

it('a reading that came with a record is taken back with it, not alone', () => {
  const books = stageBooks();
  const visit = { id: 'visit-1', machine: mower.id, tasks: ['engine-oil'] };
  const said = { tasks: null, by: null, door: 'page', note: null, minutes: null, findings: [], key: null } as const;
  confirmVisit(books, { ...said, visit, day: parseDay('2031-04-05'), hours: 162.5 });
  expect(voidReading(books, 'reading-1', null)).toMatchObject({
    kind: 'refused',
    fault: { code: 'reading-of-record', remedy: expect.stringContaining('record-1') },
  });
  expect(factsAbout(books).readings).toHaveLength(1);
  expect(voidRecord(books, 'record-1', null).kind).toBe('voided');
  expect(voidReading(books, 'reading-1', null).kind).toBe('already');
});

it('hours as typed: plain numbers only', () => {
  expect(readHoursText(' 142,5 h')).toBe(142.5);
  expect(readHoursText('0')).toBe(0);
  for (const text of [
    '',
    ' ',
    '-5',
    '1e308',
    'NaN',
    'Infinity',
    '0x10',
    '1 000',
    '1,000.5',
    '142.',
    '.5',
    'twelve',
    '99999999',
  ]) {
    expect(() => readHoursText(text), text).toThrow(expect.objectContaining({ code: 'hours-unreadable' }));
  }
});

it('other hours under the key of a form gone back to are another reading', () => {
  const books = stageBooks();
  expect(enter(books, 150, { key: 'form-1' }).kind).toBe('counted');
  books.setNow('2031-04-05T12:00');
  expect(enter(books, 151, { key: 'form-1' })).toMatchObject({ kind: 'counted', reading: { hours: 151 } });
  expect(enter(books, 151, { key: 'form-1' }).kind).toBe('already');
});

it('what was meant takes the place of a questionable reading, or nothing changes', () => {
  const books = stageBooks();
  const asked = enter(books, 1625);
  if (asked.kind !== 'aside' || asked.aside.suggestionHours === null) throw new Error('no suggestion');
  const { id, suggestionHours } = asked.aside;
  enter(books, suggestionHours - 5, { atMs: at('2031-04-04T10:00') });
  expect(correctAside(books, id, 'ines')).toMatchObject({ kind: 'counted', reading: { hours: suggestionHours } });
  expect(factsAbout(books).aside).toEqual([]);
});

it('a correction that has become impossible leaves the question open', () => {
  const books = stageBooks();
  const asked = enter(books, 1625);
  if (asked.kind !== 'aside' || asked.aside.suggestionHours === null) throw new Error('no suggestion');
  const { id, suggestionHours } = asked.aside;
  enter(books, suggestionHours + 0.6, { confirm: true, atMs: at('2031-04-04T10:00') });
  expect(correctAside(books, id, 'ines').kind).toBe('refused');
  expect(factsAbout(books).aside).toMatchObject([{ id }]);
});
