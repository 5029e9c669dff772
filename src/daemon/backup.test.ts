import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { noLog } from '../../tests/stage/no-log.js';
import { dayMs, hourMs } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import { loadHome } from '../home/load-home.js';
import type { Books } from '../ledger/books.js';
import { readBackup } from '../store/backup.js';
import { addCoverage } from '../store/facts/coverage.js';
import { openStore, type Store } from '../store/open.js';
import { keepBackups } from './backup.js';
import { newestCopy } from './copies.js';

let dir: string;
let nowMs: number;
let store: Store;
let books: Books;
let home: Home;

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'shedbell-nightly-'));
  writeFileSync(join(dir, 'household.yaml'), 'name: Weir Cottage\ntimezone: Europe/Lisbon\nbackup: { keep: 3 }\n');
  mkdirSync(join(dir, 'machines'));
  mkdirSync(join(dir, 'data'));
  store = openStore(join(dir, 'data', 'shedbell.sqlite'));
  const read = loadHome(dir, {});
  if (read.kind !== 'home') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  home = read.home;
  nowMs = Date.UTC(2031, 0, 10, 20);
  books = { store, home: () => home, clock: { nowMs: () => nowMs } };
});
afterEach(() => {
  store.close();
  rmSync(dir, { recursive: true, force: true });
});

const made = () => readdirSync(join(dir, 'data', 'backups')).sort();

it('one backup a night after three, the newest kept, each with the files of the home folder', async () => {
  const backups = keepBackups(books, dir, noLog);
  for (let hour = 0; hour < 24 * 6; hour += 1) {
    await backups.look();
    nowMs += hourMs;
  }
  expect(made()).toEqual(['2031-01-14', '2031-01-15', '2031-01-16'].map((day) => `shedbell-${day}.sqlite`));
  expect(backups.problems()).toEqual([]);
  const held = readBackup(join(dir, 'data', 'backups', 'shedbell-2031-01-16.sqlite'));
  expect(new Date(held.madeAtMs).getUTCHours()).toBe(3);
  expect(held.files.map((one) => one.path)).toEqual(['household.yaml']);
});

it('a restart in between makes no second one, and other files in the folder are left alone', async () => {
  await keepBackups(books, dir, noLog).look();
  writeFileSync(join(dir, 'data', 'backups', 'mine.sqlite'), 'mine');
  const after = keepBackups(books, dir, noLog);
  expect(after.lastAtMs()).toBe(nowMs);
  nowMs += 2 * hourMs;
  await after.look();
  expect(made()).toEqual(['mine.sqlite', 'shedbell-2031-01-10.sqlite']);
});

it('what a power cut left of a backup under way is gone after the next one', async () => {
  const folder = join(dir, 'data', 'backups');
  mkdirSync(folder);
  for (const end of ['', '-journal'])
    writeFileSync(join(folder, `shedbell-2031-01-02.sqlite.unfinished${end}`), 'half');
  writeFileSync(join(folder, 'mine.sqlite.unfinished'), 'mine');
  await keepBackups(books, dir, noLog).look();
  expect(made()).toEqual(['mine.sqlite.unfinished', 'shedbell-2031-01-10.sqlite']);
});

it('where the data file is taken away, what the service holds is copied at once and when it ends', async () => {
  const backups = keepBackups(books, dir, noLog);
  await backups.look();
  const cover = (fromMs: number) => store.write(() => addCoverage(store, 'mower', { fromMs, toMs: fromMs + 1 }));
  const held = () => readBackup(newestCopy(join(dir, 'data', 'backups'))?.file ?? '').rows.get('coverage');
  cover(1);
  await backups.rescue();
  expect(held()).toBe(0);
  for (const end of ['', '-wal', '-shm']) rmSync(store.file + end);
  nowMs += hourMs;
  await backups.look();
  expect(held()).toBe(1);
  cover(5);
  await backups.look();
  expect(held()).toBe(1);
  await backups.rescue();
  expect(held()).toBe(2);
  expect(backups.problems()).toEqual([]);
});

it('a folder that cannot be written is said at once, tried again each hour, and its age after two nights', async () => {
  const backups = keepBackups(books, dir, noLog);
  await backups.look();
  const blocked = join(dir, 'blocked');
  writeFileSync(blocked, '');
  home = { ...home, household: { ...home.household, backup: { folder: 'blocked/backups', keep: 3 } } };
  nowMs += dayMs;
  await backups.look();
  expect(backups.problems().join(' ')).toContain('The nightly backup failed');
  nowMs += 3 * dayMs;
  await backups.look();
  expect(backups.problems().join(' ')).toContain('There is no backup yet');
  rmSync(blocked);
  nowMs += 2 * hourMs;
  await backups.look();
  expect(backups.problems()).toEqual([]);
});

it('a copy that lost pages since it was made does not count: the age is that of the newest one that is whole', async () => {
  const backups = keepBackups(books, dir, noLog);
  await backups.look();
  const firstMs = nowMs;
  nowMs += dayMs;
  await backups.look();
  const folder = join(dir, 'data', 'backups');
  const newest = join(folder, 'shedbell-2031-01-11.sqlite');
  expect(newestCopy(folder)).toEqual({ file: newest, madeAtMs: nowMs });
  const bytes = readFileSync(newest);
  bytes.fill(0x5a, 1024 * 8, 1024 * 40);
  writeFileSync(newest, bytes);
  const after = keepBackups(books, dir, noLog);
  expect(after.lastAtMs()).toBe(firstMs);
  // The night is not over for want of a whole copy: another is made, in the place of the damaged one.
  await after.look();
  expect(after.lastAtMs()).toBe(nowMs);
  expect(readBackup(newest).madeAtMs).toBe(nowMs);
});

it('where every copy is damaged, the page says that there is none', async () => {
  await keepBackups(books, dir, noLog).look();
  const folder = join(dir, 'data', 'backups');
  for (const name of made()) writeFileSync(join(folder, name), 'gone');
  const after = keepBackups(books, dir, noLog);
  nowMs += 3 * dayMs;
  expect(after.lastAtMs()).toBeNull();
  expect(after.problems().join(' ')).toContain('There is no backup yet');
});

it('a clock that was set back by years does not end the backups', async () => {
  await keepBackups(books, dir, noLog).look();
  nowMs -= 300 * dayMs;
  const backups = keepBackups(books, dir, noLog);
  await backups.look();
  expect(made()).toHaveLength(2);
});

it('a folder that cannot be made is named with what the system says of it and what to look after', async () => {
  // What nobody may write, root included.
  home = { ...home, household: { ...home.household, backup: { folder: '/proc/stick/shedbell', keep: 3 } } };
  const backups = keepBackups(books, dir, noLog);
  await backups.look();
  expect(backups.problems()).toEqual([
    expect.stringMatching(
      /^The nightly backup failed: \/proc\/stick: This folder cannot be made \(found E[A-Z]+: (?!E[A-Z]+:).*\)\. Is its disk there, and may the user of the service write it\? Under systemd its unit has to name the folder/,
    ),
  ]);
});
