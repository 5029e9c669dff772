import { expect, it } from 'vitest';
import { factsAbout, mower, type StagedBooks, stageBooks, stagedHome } from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import { spendingByYear } from '../domain/spending.js';
import { writeLogbookJson } from '../formats/logbook-json.js';
import { type Confirmation, confirmVisit } from './confirm-visit.js';
import { gather } from './gather.js';
import { importRows } from './import-rows.js';
import { type PaidSaid, sayPaid, voidPaid } from './say-paid.js';
import { voidRecord } from './void-record.js';

const euro = (minor: number, what: string | null = null): PaidSaid => ({
  money: { currency: 'EUR', minor, digits: 2 },
  what,
});

function confirm(books: StagedBooks, more: Partial<Confirmation> = {}) {
  return confirmVisit(books, {
    visit: { id: 'visit-1', machine: mower.id, tasks: ['engine-oil', 'blades'] },
    tasks: null,
    day: parseDay('2031-04-05'),
    hours: null,
    by: 'ines',
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    key: null,
    ...more,
  });
}

const paidOf = (books: StagedBooks) => factsAbout(books).records[0]?.paid;
const sumsOf = (books: StagedBooks) =>
  spendingByYear(factsAbout(books).records).map(({ year, total }) => [year, total.minor, total.currency]);
/** Every amount that was ever written down, and whether it stands. */
const rowsOf = (books: StagedBooks) =>
  books.store.sql
    .rows('SELECT minor_units, voided_at_ms FROM paid ORDER BY rowid')
    .map((row) => [row.minor_units, row.voided_at_ms === null]);

it('an amount told with the confirmation stands on its record, and the record taken back takes it out of the sums', () => {
  const books = stageBooks();
  expect(confirm(books, { paid: euro(11_240, ' oil\nand filter ') })).toMatchObject({
    kind: 'recorded',
    record: { paid: { id: 'paid-1', money: { minor: 11_240 }, what: 'oil and filter', by: 'ines' } },
  });
  expect(sumsOf(books)).toEqual([[2031, 11_240, 'EUR']]);
  expect(voidRecord(books, 'record-1', null)).toEqual({ kind: 'voided' });
  expect(sumsOf(books)).toEqual([]);
  expect(rowsOf(books)).toEqual([[11_240, false]]);
});

it('a later word replaces, what stood before stays in the books, and the same again is one', () => {
  const books = stageBooks();
  confirm(books);
  expect(paidOf(books)).toBeUndefined();
  expect(sayPaid(books, 'record-1', euro(11_240), null, 'form-00001')).toEqual({ kind: 'said' });
  expect(sayPaid(books, 'record-1', euro(11_240), null, 'form-00002')).toEqual({ kind: 'already' });
  expect(sayPaid(books, 'record-1', euro(8510), null, 'form-00003')).toEqual({ kind: 'said' });
  // The first form comes once more, perhaps from a phone that had no signal: the correction stands.
  expect(sayPaid(books, 'record-1', euro(11_240), null, 'form-00001')).toEqual({ kind: 'already' });
  expect(sumsOf(books)).toEqual([[2031, 8510, 'EUR']]);
  expect(rowsOf(books)).toEqual([
    [11_240, false],
    [8510, true],
  ]);
  expect(sayPaid(books, 'record-1', null, null, null)).toEqual({ kind: 'taken-back' });
  expect(sayPaid(books, 'record-1', null, null, null)).toEqual({ kind: 'already' });
  expect(sumsOf(books)).toEqual([]);
});

it('confirmed twice, the amount is told once; another one by another form replaces it, and the same form once more does not', () => {
  const books = stageBooks();
  confirm(books, { key: 'form-00001', paid: euro(100) });
  expect(confirm(books, { key: 'form-00002', paid: euro(200) }).kind).toBe('already');
  expect(confirm(books, { key: 'form-00003' }).kind).toBe('already');
  expect(paidOf(books)?.money.minor).toBe(200);
  for (const key of ['form-00001', 'form-00002']) confirm(books, { key, paid: euro(key === 'form-00001' ? 100 : 200) });
  sayPaid(books, 'record-1', euro(300), null, null);
  expect(confirm(books, { key: 'form-00002', paid: euro(200) }).kind).toBe('already');
  expect(paidOf(books)?.money.minor).toBe(300);
  expect(factsAbout(books).records).toHaveLength(1);
});

it('a later currency of the household changes no amount that stands: each currency has its own sum', () => {
  const books = stageBooks({ home: { ...stagedHome, household: { ...stagedHome.household, currency: 'JPY' } } });
  confirm(books, { paid: euro(500) });
  confirm(books, {
    visit: { id: 'visit-2', machine: mower.id, tasks: ['air-filter'] },
    paid: { money: { currency: 'JPY', minor: 500, digits: 0 }, what: null },
  });
  expect(sumsOf(books)).toEqual([
    [2031, 500, 'EUR'],
    [2031, 500, 'JPY'],
  ]);
});

it('what was paid is never edited or deleted in the store, and only one amount of a record stands', () => {
  const books = stageBooks();
  confirm(books, { paid: euro(100) });
  const { sql } = books.store;
  expect(() => sql.run('UPDATE paid SET minor_units = 1')).toThrow();
  expect(() => sql.run("UPDATE paid SET currency = 'CHF'")).toThrow();
  expect(() => sql.run('DELETE FROM paid')).toThrow();
  expect(() =>
    sql.run(
      "INSERT INTO paid (id, record, minor_units, minor_digits, currency, at_ms) VALUES ('paid-9', 'record-1', 1, 2, 'EUR', 1)",
    ),
  ).toThrow();
  expect(paidOf(books)?.money).toEqual(euro(100).money);
});

it.each([-1, 0.5, Number.NaN, 1e13])('%d smallest units are stored by no door', (minor) => {
  const books = stageBooks();
  expect(() => confirm(books, { paid: euro(minor) })).toThrow(RangeError);
  expect(factsAbout(books).records).toEqual([]);
});

it('an amount is taken back by its id, once; that of no record, or of one taken back, is refused', () => {
  const books = stageBooks();
  confirm(books, { paid: euro(100) });
  expect(voidPaid(books, 'paid-1', null)).toEqual({ kind: 'voided' });
  expect(voidPaid(books, 'paid-1', null)).toEqual({ kind: 'already' });
  expect(voidPaid(books, 'paid-7', null)).toMatchObject({ kind: 'refused', fault: { code: 'paid-unknown' } });
  expect(paidOf(books)).toBeUndefined();
  voidRecord(books, 'record-1', null);
  for (const record of ['record-1', 'record-9'])
    expect(sayPaid(books, record, euro(1), null, null)).toMatchObject({
      kind: 'refused',
      fault: { code: 'record-unknown' },
    });
  expect(rowsOf(books)).toEqual([[100, false]]);
});

it('words longer than a line are refused, and with them the whole confirmation', () => {
  const books = stageBooks();
  expect(confirm(books, { paid: euro(1, 'x'.repeat(201)) })).toMatchObject({
    kind: 'refused',
    fault: { code: 'text-too-long', place: 'paid-for' },
  });
  expect(factsAbout(books).records).toEqual([]);
});

it('old papers bring what was paid, also for work that is on record already; another amount than that is asked about', () => {
  const books = stageBooks();
  const day = parseDay('2030-06-01');
  const run = (paid: PaidSaid | null, dryRun = false) =>
    importRows(books, {
      machine: mower.id,
      file: 'log.csv',
      readings: [],
      records: [{ line: 2, day, hours: null, tasks: ['blades'], note: null, paid }],
      by: null,
      dryRun,
      confirm: false,
    });
  expect(run(null)).toEqual({ kind: 'imported', readings: 0, records: 1, already: 0 });
  expect(run(euro(4200), true)).toMatchObject({ already: 1, amounts: 1 });
  expect(paidOf(books)).toBeUndefined();
  expect(run(euro(4200, 'from the bill'))).toMatchObject({ already: 1, amounts: 1 });
  expect(run(euro(4200))).toEqual({ kind: 'imported', readings: 0, records: 0, already: 1 });
  expect(run(euro(4300))).toMatchObject({
    kind: 'refused',
    faults: [{ code: 'row-paid-otherwise', place: 'log.csv:2:1', found: '43.00 EUR' }],
  });
  expect(paidOf(books)).toMatchObject({ money: { minor: 4200 }, what: 'from the bill' });
});

it('the export says an amount as plain figures with its currency', () => {
  const books = stageBooks();
  confirm(books, { paid: euro(5, 'a washer') });
  const { records } = JSON.parse(writeLogbookJson(stagedHome, gather(books))).machines[0];
  expect(records[0].paid).toMatchObject({ amount: '0.05', currency: 'EUR', minorUnits: 5, what: 'a washer' });
});
