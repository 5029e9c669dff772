import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { addCoverage, coverageOf } from './facts/coverage.js';
import { type Migration, readMigrations } from './migrate.js';
import { openStore } from './open.js';

let folder: string;
let file: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shedbell-migrate-'));
  file = join(folder, 'shedbell.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const now = readMigrations();
const next = (sql: string): readonly Migration[] => [...now, { number: now.length + 1, name: '0099-test.sql', sql }];

function seed(): void {
  const store = openStore(file);
  store.write(() => addCoverage(store, 'mower', { fromMs: 1, toMs: 2 }));
  store.close();
}

it('a database with facts is copied beside itself before it is brought forward', () => {
  seed();
  openStore(file, { migrations: next('CREATE TABLE songs (title TEXT) STRICT') }).close();
  const copy = `${file}.before-schema-${now.length + 1}`;
  const kept = new Database(copy);
  expect(kept.pragma('user_version', { simple: true })).toBe(now.length);
  expect(kept.prepare('SELECT to_ms FROM coverage').pluck().get()).toBe(2);
  kept.close();
  // The program before this one opens the copy as it is.
  const before = openStore(copy);
  expect(coverageOf(before, ['mower']).get('mower')).toEqual([{ fromMs: 1, toMs: 2 }]);
  before.close();
  const forward = new Database(file);
  expect(forward.pragma('user_version', { simple: true })).toBe(now.length + 1);
  forward.close();
});

it('a new database needs no copy', () => {
  openStore(file).close();
  expect(readdirSync(folder).filter((name) => name.includes('before-schema'))).toEqual([]);
});

it('a migration that fails half-way leaves the database as it was', () => {
  seed();
  const broken = next('CREATE TABLE songs (title TEXT) STRICT; INSERT INTO nowhere VALUES (1)');
  expect(() => openStore(file, { migrations: broken })).toThrow(
    expect.objectContaining({ code: 'store-migration-failed' }),
  );
  const store = openStore(file);
  expect(store.sql.row(`SELECT name FROM sqlite_schema WHERE name = 'songs'`)).toBeNull();
  expect(coverageOf(store, ['mower']).get('mower')).toHaveLength(1);
  store.close();
});

it('a copy that a power cut left unfinished is made anew', () => {
  seed();
  const unfinished = `${file}.before-schema-${now.length + 1}.unfinished`;
  writeFileSync(unfinished, 'half a file');
  openStore(file, { migrations: next('CREATE TABLE songs (title TEXT) STRICT') }).close();
  expect(existsSync(unfinished)).toBe(false);
  expect(existsSync(`${file}.before-schema-${now.length + 1}`)).toBe(true);
});

it('migrations are numbered without a gap', () => {
  const gappy = join(folder, 'gappy');
  rmSync(gappy, { recursive: true, force: true });
  const url = pathToFileURL(`${folder}/`);
  writeFileSync(join(folder, '0001-facts.sql'), '');
  writeFileSync(join(folder, '0003-more.sql'), '');
  expect(() => readMigrations(url)).toThrow(expect.objectContaining({ code: 'store-migration-failed' }));
});
