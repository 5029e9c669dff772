import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { readMigrations } from './migrate.js';
import { openStore } from './open.js';

let folder: string;
let file: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shedbell-upgrade-'));
  file = join(folder, 'shedbell.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

type Rows = Record<string, readonly Record<string, unknown>[]>;

/** At least one row in each table of the first schema; parents before children. */
const firstRows = `
INSERT INTO ids VALUES ('reading', 2);
INSERT INTO readings VALUES ('reading-1', 'pump', 1000, 41.5, 0, 'page', 'Ida', 'cold', 1100, NULL, NULL);
INSERT INTO readings VALUES ('reading-2', 'pump', 2000, 415, 1, 'mail', NULL, NULL, 2100, 2200, 'Ida');
INSERT INTO aside VALUES ('aside-1', 'pump', 3000, 5, 'back', 50, 'page', 'Ida', 3100, NULL, NULL, NULL);
INSERT INTO told_runs VALUES ('told-1', 'saw', 1000, 30, 'page', 'Ida', 1100, NULL, NULL);
INSERT INTO not_used VALUES ('idle-1', 'saw', 1000, 2000, 'page', 'Ida', NULL, NULL);
INSERT INTO runs VALUES ('pump', 1000, 1500);
INSERT INTO coverage VALUES ('pump', 900, 2500);
INSERT INTO feed_totals VALUES ('pump', 0.5, 1500, '{}');
INSERT INTO records VALUES ('record-1', 'pump', 'visit-1', '2024-02-29', 41.5, 'read', 'page', 'Ida', 'done', 25, 'reading-1', 1200, NULL, NULL);
INSERT INTO record_tasks VALUES ('record-1', 0, 'oil');
INSERT INTO findings VALUES ('record-1', 1, 'oil', 'gap', 'left', '.7 mm', '.8 mm', 'within', NULL);
INSERT INTO answers VALUES (1, 'pump', 'have-parts', '["oil"]', '2024-03-01', NULL, 1300, 'Ida');
INSERT INTO visits VALUES ('visit-1', 'pump', 800);
INSERT INTO visit_revisions VALUES ('visit-1', 1, '["oil"]', '2024-02-29', 800, NULL);
INSERT INTO outbox VALUES ('letter-1', 'm1', 'Ida', 'mail', '{}', 800, NULL, '[]', 'delivered', NULL, 0, 1, 800, NULL);
INSERT INTO attempts VALUES ('letter-1', 1, 810, 'delivered', NULL);
INSERT INTO notices VALUES ('notice-1', 'letter-1', 'due', 'pump', 'visit-1', '["oil"]', 'Ida', 800, '2024-02-29', '[]', 'once-1');
INSERT INTO noticed VALUES ('noticed-1', 'pump', 900, 'drips', 'Ida', NULL, NULL);
INSERT INTO stock_moves VALUES (1, 'pump', 'oil', -0.6, 1200, 'record-1', 'Ida', NULL);
INSERT INTO keys VALUES ('key-1', 'links', x'0102', 700, NULL);
INSERT INTO entries VALUES ('entry-1', 'reading', 'reading-1', 1100);
`;

function rowsOf(path: string): Rows {
  const db = new Database(path, { readonly: true });
  const names = db
    .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
    .pluck()
    .all() as string[];
  const rows = Object.fromEntries(names.map((n) => [n, db.prepare(`SELECT * FROM ${n}`).all()])) as Rows;
  db.close();
  return rows;
}

it('every row of a database with the first schema lives on, and a copy of it is made before', () => {
  const [first] = readMigrations();
  const old = openStore(file, { migrations: first === undefined ? [] : [first] });
  old.close();
  const db = new Database(file);
  db.exec(firstRows);
  db.close();
  const before = rowsOf(file);
  for (const [table, rows] of Object.entries(before)) expect(rows, table).not.toHaveLength(0);

  openStore(file).close();

  const after = rowsOf(file);
  for (const [table, rows] of Object.entries(before)) {
    expect(after[table], table).toEqual(rows.map((row) => expect.objectContaining(row)));
  }
  expect(rowsOf(`${file}.before-schema-2`)).toEqual(before);
  const checked = new Database(file, { readonly: true });
  expect(checked.pragma('integrity_check', { simple: true })).toBe('ok');
  expect(checked.pragma('foreign_key_check')).toEqual([]);
  checked.close();
});
