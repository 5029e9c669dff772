import { expect, it } from 'vitest';
import { mower, stageBooks, stagedHome, stageVisit } from '../../tests/stage/ledger-books.js';
import { calendarEntries, cancelledEntries } from './calendar-entries.js';

const tasks = ['engine-oil', 'blades'];
const visitOn = (day: string, held = tasks) => stageVisit('meadow-mower-engine-oil-1', held, day);

function entriesOf(books: ReturnType<typeof stageBooks>, ...visits: readonly ReturnType<typeof stageVisit>[]) {
  return calendarEntries(books, visits).map(({ day, sequence, changedAtMs }) => ({
    day,
    sequence,
    at: new Date(changedAtMs).toISOString().slice(0, 10),
  }));
}

it('asked again without a change, nothing moves, whatever the time and also after a restart', () => {
  const books = stageBooks();
  const first = calendarEntries(books, [visitOn('2031-04-19')]);
  books.setNow('2031-04-09T12:00');
  books.reopen();
  expect(calendarEntries(books, [visitOn('2031-04-19')])).toEqual(first);
  expect(first[0]).toMatchObject({ sequence: 0, day: '2031-04-19' });
});

it('a proposed visit follows a move of two days, and not one of a single day', () => {
  const books = stageBooks();
  entriesOf(books, visitOn('2031-04-19'));
  books.setNow('2031-04-06T10:00');
  expect(entriesOf(books, visitOn('2031-04-20'))).toEqual([{ day: '2031-04-19', sequence: 0, at: '2031-04-05' }]);
  expect(entriesOf(books, visitOn('2031-04-18'))).toEqual([{ day: '2031-04-19', sequence: 0, at: '2031-04-05' }]);
  expect(entriesOf(books, visitOn('2031-04-21'))).toEqual([{ day: '2031-04-21', sequence: 1, at: '2031-04-06' }]);
});

it('small moves one after another do not creep away unseen', () => {
  const books = stageBooks();
  for (const day of ['2031-04-19', '2031-04-20', '2031-04-21']) entriesOf(books, visitOn(day));
  expect(entriesOf(books, visitOn('2031-04-21'))).toMatchObject([{ day: '2031-04-21', sequence: 1 }]);
});

it('the day that people were told stands in the calendar exactly', () => {
  const books = stageBooks();
  entriesOf(books, visitOn('2031-04-19'));
  const announced = { ...visitOn('2031-04-20'), announced: true, revision: 1 };
  expect(entriesOf(books, announced)).toMatchObject([{ day: '2031-04-20', sequence: 1 }]);
});

it('a day that is past does not stay in the calendar', () => {
  const books = stageBooks();
  entriesOf(books, visitOn('2031-04-05'));
  books.setNow('2031-04-06T10:00');
  expect(entriesOf(books, visitOn('2031-04-06'))).toMatchObject([{ day: '2031-04-06', sequence: 1 }]);
});

it('other tasks are a change, another order of them is none', () => {
  const books = stageBooks();
  entriesOf(books, visitOn('2031-04-19'));
  expect(entriesOf(books, visitOn('2031-04-19', ['blades', 'engine-oil']))).toMatchObject([{ sequence: 0 }]);
  expect(entriesOf(books, visitOn('2031-04-19', ['engine-oil']))).toMatchObject([{ sequence: 1 }]);
  expect(entriesOf(books, visitOn('2031-04-19'))).toMatchObject([{ sequence: 2 }]);
});

it('each visit is counted by itself, and ids differ between installations', () => {
  const [books, others] = [stageBooks(), stageBooks()];
  const blades = stageVisit('meadow-mower-blades-1', ['blades'], '2031-05-03');
  entriesOf(books, visitOn('2031-04-19'), blades);
  expect(entriesOf(books, visitOn('2031-04-26'), blades).map((entry) => entry.sequence)).toEqual([1, 0]);
  const uid = (of: typeof books) => calendarEntries(of, [blades])[0]?.uid ?? '';
  expect(uid(books)).toMatch(/^meadow-mower-blades-1@[0-9a-f]{12}\.shedbell\.invalid$/);
  expect(uid(books)).not.toBe(uid(others));
});

it('what the calendar says is no fact: the version of the facts stays', () => {
  const books = stageBooks();
  const before = books.store.dataVersion();
  entriesOf(books, visitOn('2031-04-19'));
  expect(books.store.dataVersion()).toBe(before);
});

it('a visit ahead that is planned no longer is cancelled once, told for a week, then gone', () => {
  const books = stageBooks();
  calendarEntries(books, [visitOn('2031-04-19')]);
  expect(cancelledEntries(books, [visitOn('2031-04-19')])).toEqual([]);
  books.setNow('2031-04-06T10:00');
  const first = cancelledEntries(books, []);
  expect(first).toMatchObject([{ day: '2031-04-19', sequence: 1, machine: { id: 'meadow-mower' } }]);
  books.setNow('2031-04-08T10:00');
  books.reopen();
  expect(cancelledEntries(books, [])).toEqual(first);
  books.setNow('2031-04-14T10:00');
  expect(cancelledEntries(books, [])).toEqual([]);
});

it('a cancelled visit is of its own machine, though another is called by the beginning of its name', () => {
  const books = stageBooks({ home: { ...stagedHome, machines: [{ ...mower, id: 'meadow' }, mower] } });
  calendarEntries(books, [visitOn('2031-04-19')]);
  expect(cancelledEntries(books, [])).toMatchObject([{ machine: { id: 'meadow-mower' } }]);
});

it('a visit of a machine whose file was taken away is cancelled too', () => {
  const books = stageBooks();
  calendarEntries(books, [visitOn('2031-04-19')]);
  books.setNow('2031-04-06T10:00');
  const without = { ...books, home: () => ({ ...stagedHome, machines: [] }) };
  expect(cancelledEntries(without, [])).toMatchObject([{ day: '2031-04-19', sequence: 1, machine: null }]);
});

it('a visit whose day has come is not cancelled, and one that comes back counts on', () => {
  const books = stageBooks();
  calendarEntries(books, [visitOn('2031-04-06')]);
  books.setNow('2031-04-07T10:00');
  expect(cancelledEntries(books, [])).toEqual([]);
  calendarEntries(books, [visitOn('2031-04-26')]);
  expect(cancelledEntries(books, [])).toMatchObject([{ sequence: 2 }]);
  expect(entriesOf(books, visitOn('2031-04-26'))).toMatchObject([{ day: '2031-04-26', sequence: 3 }]);
  expect(cancelledEntries(books, [visitOn('2031-04-26')])).toEqual([]);
});
