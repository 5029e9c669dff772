import { expect, it } from 'vitest';
import { factsAbout, mower, stageBooks } from '../../tests/stage/ledger-books.js';
import { parseDay } from '../domain/day.js';
import type { Books } from './books.js';
import { type Import, importRows } from './import-rows.js';

const row = (line: number, at: string, hours: number) => ({ line, at, hours, note: null });
const work = (line: number, day: string, hours: number | null, tasks: string[]) => ({
  line,
  day: parseDay(day),
  hours,
  tasks,
  note: null,
});
const run = (books: Books, more: Partial<Import>) =>
  importRows(books, {
    machine: mower.id,
    file: 'old.csv',
    readings: [],
    records: [],
    by: null,
    dryRun: false,
    confirm: false,
    ...more,
  });

const readings = [row(2, '2030-09-01', 150), row(3, '2028-06-01', 30), row(4, '2029-06-01T09:00', 75)];

it('all rows are imported, oldest first whatever their order; the same file again is nothing new', () => {
  const books = stageBooks();
  expect(run(books, { readings })).toEqual({ kind: 'imported', readings: 3, records: 0, already: 0 });
  expect(factsAbout(books).readings.map((r) => [r.hours, r.door])).toEqual([
    [30, 'import'],
    [75, 'import'],
    [150, 'import'],
  ]);
  const version = books.store.dataVersion();
  expect(run(books, { readings })).toEqual({ kind: 'imported', readings: 0, records: 0, already: 3 });
  expect(books.store.dataVersion()).toBe(version);
});

it('a task that is nearly written right is asked about by its name', () => {
  const answer = run(stageBooks(), { readings: [], records: [work(7, '2029-06-01', null, ['blads'])] });
  expect(answer.kind === 'refused' && answer.faults.map((fault) => fault.remedy)).toEqual(['Did you mean "blades"?']);
});

it('one bad row and nothing is imported; every bad row is named', () => {
  const books = stageBooks();
  const answer = run(books, {
    readings: [...readings, row(5, '2030-10-01', 20), row(6, '2032-01-01', 170)],
    records: [work(7, '2029-06-01', null, ['polish'])],
  });
  expect(answer.kind).toBe('refused');
  if (answer.kind !== 'refused') return;
  expect(answer.faults.map((f) => [f.place, f.code])).toEqual([
    ['old.csv:5:1', 'reading-below-last'],
    ['old.csv:6:1', 'reading-in-future'],
    ['old.csv:7:1', 'row-task-unknown'],
  ]);
  for (const fault of answer.faults) expect(fault.remedy, fault.line).toBeTruthy();
  expect(factsAbout(books)).toMatchObject({ readings: [], records: [] });
});

it('of a file that is wrong all over only the first twenty rows are named, and how many are left', () => {
  const books = stageBooks();
  const wrong = Array.from({ length: 300 }, (_, i) => row(i + 2, '2030-10-01', 20 + i / 100));
  const records = [work(400, '2029-06-01', null, ['blades'])];
  const answer = run(books, { readings: wrong, records });
  expect(answer).toMatchObject({ kind: 'refused', unseen: 281 });
  if (answer.kind === 'refused') expect(answer.faults).toHaveLength(20);
  expect(factsAbout(books)).toMatchObject({ readings: [], records: [] });
});

it('a questionable row is asked about, and nothing is kept aside', () => {
  const books = stageBooks();
  const answer = run(books, { readings: [row(2, '2031-04-01', 1625)] });
  expect(answer).toMatchObject({ kind: 'refused', faults: [{ code: 'row-questionable', place: 'old.csv:2:1' }] });
  expect(factsAbout(books).aside).toEqual([]);
});

it('questionable rows count once a person says so, impossible ones never', () => {
  const books = stageBooks();
  const rows = [row(2, '2030-09-01', 140), row(3, '2031-04-01', 1625)];
  expect(run(books, { readings: rows })).toMatchObject({
    kind: 'refused',
    faults: [{ code: 'row-questionable', place: 'old.csv:3:1', remedy: expect.stringContaining('--confirm') }],
  });
  const below = row(4, '2031-04-02', 20);
  expect(run(books, { readings: [...rows, below], confirm: true })).toMatchObject({
    kind: 'refused',
    faults: [{ code: 'reading-below-last', place: 'old.csv:4:1' }],
  });
  expect(factsAbout(books).readings).toEqual([]);
  expect(run(books, { readings: rows, confirm: true })).toMatchObject({ kind: 'imported', readings: 2 });
  expect(factsAbout(books).readings.map((reading) => reading.hours)).toEqual([140, 1625]);
});

it('a dry run says what would come of it and changes nothing', () => {
  const books = stageBooks();
  const version = books.store.dataVersion();
  expect(run(books, { readings, dryRun: true })).toEqual({ kind: 'imported', readings: 3, records: 0, already: 0 });
  expect(books.store.dataVersion()).toBe(version);
  expect(factsAbout(books).readings).toEqual([]);
});

it('several readings of one day keep their order', () => {
  const books = stageBooks();
  run(books, { readings: [row(2, '2030-09-01', 150.2), row(3, '2030-09-01', 150.19)] });
  expect(factsAbout(books).readings.map((r) => r.hours)).toEqual([150.19, 150.2]);
});

it('old papers become records from before the machine was known here, with their hours as readings', () => {
  const books = stageBooks();
  const records = [
    work(2, '2029-06-01', 75, ['engine-oil', 'blades', 'blades']),
    work(3, '2030-09-01', null, ['air-filter']),
  ];
  expect(run(books, { records })).toEqual({ kind: 'imported', readings: 0, records: 2, already: 0 });
  expect(factsAbout(books)).toMatchObject({
    records: [
      {
        day: '2029-06-01',
        tasks: ['engine-oil', 'blades'],
        hours: 75,
        hoursKnown: 'read',
        door: 'import',
        visit: null,
      },
      { day: '2030-09-01', hoursKnown: 'estimated' },
    ],
    readings: [{ hours: 75 }],
  });
  expect(run(books, { records })).toMatchObject({ records: 0, already: 2 });
});

it('an unknown machine is a refusal', () => {
  expect(run(stageBooks(), { machine: 'boat', readings })).toMatchObject({
    kind: 'refused',
    faults: [{ code: 'machine-unknown' }],
  });
});
