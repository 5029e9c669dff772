import { expect, it } from 'vitest';
import { confirm } from '../../tests/stage/confirm-mower.js';
import { mower, stageBooks } from '../../tests/stage/ledger-books.js';
import { mergeSheet } from './sheet-marks.js';

const visit = 'meadow-mower-blades-1';
const tick = (field: string, value: boolean | string, agoMs: number) => ({ field, value, agoMs });

it('what two devices touched is kept of both, and of one field the later word', () => {
  const books = stageBooks();
  mergeSheet(books, visit, [tick('step#1', true, 5000), tick('note', 'early', 9000)]);
  mergeSheet(books, visit, [tick('step#2', true, 2000), tick('note', 'late', 1000)]);
  // A device that was without signal tells old ticks last.
  mergeSheet(books, visit, [tick('step#1', false, 60_000), tick('note', 'very early', 90_000)]);
  expect(mergeSheet(books, visit, []).touched).toEqual([
    tick('note', 'late', 1000),
    tick('step#1', true, 5000),
    tick('step#2', true, 2000),
  ]);
});

it('in whatever order devices tell, the outcome is the same', () => {
  const told = [
    [tick('a', true, 300), tick('b', 'x', 500)],
    [tick('a', false, 200), tick('c', '7 mm', 100)],
    [tick('b', 'y', 400), tick('c', '8 mm', 600)],
  ];
  const outcome = (order: readonly number[]) => {
    const books = stageBooks();
    for (const i of order) mergeSheet(books, visit, told[i] ?? []);
    return mergeSheet(books, visit, []).touched;
  };
  const orders = [
    [0, 1, 2],
    [2, 1, 0],
    [1, 0, 2],
    [2, 0, 1, 0, 2],
  ];
  for (const order of orders) expect(outcome(order)).toEqual(outcome([0, 1, 2]));
  expect(outcome([0, 1, 2]).map(({ value }) => value)).toEqual([false, 'y', '7 mm']);
});

it('sheets do not mix, no fact changes by a tick, and after 30 days it is forgotten', () => {
  const books = stageBooks();
  const version = books.store.dataVersion();
  mergeSheet(books, visit, [tick('step#1', true, 0)]);
  expect(books.store.dataVersion()).toBe(version);
  expect(mergeSheet(books, 'meadow-mower-blades-2', []).touched).toEqual([]);
  books.setNow('2031-05-06T10:00');
  expect(mergeSheet(books, visit, []).touched).toEqual([]);
  mergeSheet(books, 'meadow-mower-blades-2', [tick('step#1', true, 0)]);
  expect(books.store.sql.rows('SELECT visit FROM sheet_marks')).toHaveLength(1);
});

it('a device whose clock was set right by months still shares what it touches now', () => {
  const books = stageBooks();
  const told = [tick('step#1', true, 200 * 86_400_000), tick('step#2', true, 1000), tick('step#3', true, 1e300)];
  expect(mergeSheet(books, visit, told).touched).toEqual([tick('step#2', true, 1000)]);
});

it('once the clock of the service is set back, a newer word still counts', () => {
  const books = stageBooks();
  mergeSheet(books, visit, [tick('step#1', false, 0)]);
  books.setNow('2031-04-01T10:00');
  // Looked at once after the clock was set, as an open page does every few seconds.
  mergeSheet(books, visit, []);
  books.setNow('2031-04-01T10:01');
  mergeSheet(books, visit, [tick('step#1', true, 500)]);
  expect(mergeSheet(books, visit, []).touched).toEqual([tick('step#1', true, 500)]);
});

it('a sheet takes a thousand fields and no more', () => {
  const books = stageBooks();
  const many = Array.from({ length: 1000 }, (_, i) => tick(`field-${i}`, true, 10));
  mergeSheet(books, visit, many);
  expect(mergeSheet(books, visit, [tick('one more', true, 0), tick('field-3', false, 0)]).touched).toHaveLength(1000);
});

it('what was touched before a sheet was confirmed is forgotten, and a device that tells it late changes nothing', () => {
  const books = stageBooks();
  mergeSheet(books, visit, [tick('step#1', true, 5000), tick('hours', '162.5', 4000)]);
  const done = confirm(books, {
    visit: { id: visit, machine: mower.id, tasks: ['blades'] },
    hours: 162.5,
    door: 'page',
  });
  expect(done.kind).toBe('recorded');
  expect(mergeSheet(books, visit, [])).toEqual({ touched: [], closedAgoMs: 0 });
  books.setNow('2031-04-05T10:10');
  const tenMinutesMs = 600_000;
  expect(mergeSheet(books, visit, [tick('step#1', true, tenMinutesMs + 5000)])).toEqual({
    touched: [],
    closedAgoMs: tenMinutesMs,
  });
  expect(mergeSheet(books, visit, [tick('step#2', true, 1000)]).touched).toEqual([tick('step#2', true, 1000)]);
});
