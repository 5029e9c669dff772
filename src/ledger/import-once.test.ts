import { expect, it, vi } from 'vitest';
import { factsAbout, mower, stageBooks } from '../../tests/stage/ledger-books.js';
import { addDays, parseDay } from '../domain/day.js';
import * as estimates from '../hours/estimate.js';
import { importRows } from './import-rows.js';
import * as facts from './machine-facts.js';

vi.mock('./machine-facts.js', { spy: true });
vi.mock('../hours/estimate.js', { spy: true });

it('a file of many rows reads the books once and estimates hours once, however many rows it has', () => {
  const books = stageBooks();
  const start = parseDay('2029-06-01');
  const at = (i: number) => addDays(start, i * 5);
  const readings = Array.from({ length: 40 }, (_, i) => ({ line: i + 2, at: at(i), hours: i * 2, note: null }));
  const records = Array.from({ length: 60 }, (_, i) => ({
    line: i + 100,
    day: addDays(at(i), 2),
    hours: i % 2 === 0 && i < 40 ? i * 2 + 0.5 : null,
    tasks: ['blades'],
    note: null,
  }));
  const answer = importRows(books, {
    machine: mower.id,
    file: 'old.csv',
    readings,
    records,
    by: null,
    dryRun: false,
    confirm: false,
  });
  expect(answer).toEqual({ kind: 'imported', readings: 40, records: 60, already: 0 });
  expect(vi.mocked(facts.factsOf)).toHaveBeenCalledTimes(1);
  expect(vi.mocked(estimates.estimateHours)).toHaveBeenCalledTimes(1);
  const known = factsAbout(books);
  expect(known.readings).toHaveLength(60);
  const estimated = known.records.filter((record) => record.hoursKnown === 'estimated').map((record) => record.hours);
  expect(estimated).toHaveLength(40);
  expect(estimated).toEqual(estimated.toSorted((a, b) => (a ?? 0) - (b ?? 0)));
});
