import {
  closeSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { noLog } from '../../tests/stage/no-log.js';
import { dayMs, hourMs } from '../domain/day.js';
import { loadHome } from '../home/load-home.js';
import type { Books } from '../ledger/books.js';
import { openStore, type Store } from '../store/open.js';
import { damage } from '../store/whole.js';
import { watchData } from './watch-data.js';

let dir: string;
let nowMs: number;
let store: Store;
let books: Books;

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'shedbell-watch-'));
  writeFileSync(join(dir, 'household.yaml'), 'name: Weir Cottage\ntimezone: Europe/Lisbon\n');
  mkdirSync(join(dir, 'machines'));
  mkdirSync(join(dir, 'data'));
  store = openStore(join(dir, 'data', 'shedbell.sqlite'));
  const read = loadHome(dir, {});
  if (read.kind !== 'home') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  const { home } = read;
  nowMs = Date.UTC(2031, 0, 10, 20);
  books = { store, home: () => home, clock: { nowMs: () => nowMs } };
});
afterEach(() => {
  store.close();
  rmSync(dir, { recursive: true, force: true });
});

const letters = () => {
  try {
    return readdirSync(join(dir, 'data', 'outbox'));
  } catch {
    return [];
  }
};

/** Rubbish over the pages at the end, of tables that nothing reads in this test. */
function spoil(): void {
  openStore(store.file).close();
  const bytes = readFileSync(store.file);
  bytes.fill(0x5a, 30 * 1024);
  const handle = openSync(store.file, 'r+');
  writeSync(handle, bytes);
  closeSync(handle);
}

it('the file is looked at in the night after a week, and damage is told of once', async () => {
  const data = watchData(books, dir, noLog);
  await data.look();
  spoil();
  nowMs += 6 * dayMs + 6 * hourMs;
  await data.look();
  expect(data.problems()).toEqual([]);
  expect(letters()).toEqual([]);
  nowMs += 2 * hourMs;
  await data.look();
  expect(data.problems()).toEqual([expect.stringContaining('The data file is damaged')]);
  expect(letters()).toHaveLength(1);
  for (let hour = 0; hour < 24 * 13; hour += 1) {
    nowMs += hourMs;
    await data.look();
  }
  expect(letters()).toHaveLength(1);
});

it('damage that lasts is told of again after two weeks, as other troubles are', async () => {
  const data = watchData(books, dir, noLog);
  data.met(damage(store.file, 'a page is not there'));
  const days: number[] = [];
  for (let day = 0; day < 240; day += 1) {
    const before = letters().length;
    await data.look();
    if (letters().length > before) days.push(day);
    nowMs += dayMs;
  }
  expect(days).toEqual([0, 14, 44, 134, 224]);
});

it('a file that was taken away is told of at the next look', async () => {
  const data = watchData(books, dir, noLog);
  await data.look();
  for (const end of ['', '-wal', '-shm']) rmSync(store.file + end, { force: true });
  await data.look();
  expect(data.problems()).toEqual([expect.stringContaining('the file was taken away while the service runs')]);
  expect(letters()).toHaveLength(1);
});

it('a damaged copy elsewhere, and another fault, are no damage of this file', () => {
  const data = watchData(books, dir, noLog);
  data.met(damage('/elsewhere/copy.sqlite', 'a page is not there'));
  data.met(new Error('the disk is full'));
  expect(data.damage()).toBeNull();
});
