import { closeSync, fchmodSync, fsyncSync, openSync, readdirSync, readFileSync, renameSync, rmSync } from 'node:fs';
import type Database from 'better-sqlite3';
import { Fault } from '../domain/fault.js';
import { storeErrors, storeFault } from './errors.js';

/** Marks a database as ours: "Shed" in ASCII. */
export const applicationId = 0x53686564;

const migrationsFolder = new URL('./migrations/', import.meta.url);

export interface Migration {
  readonly number: number;
  readonly name: string;
  readonly sql: string;
}

/** All migrations, in order: NNNN-what.sql, from 0001 without a gap.
 *  @throws Fault store-migration-failed where one is missing */
export function readMigrations(folder: URL = migrationsFolder): readonly Migration[] {
  const migrations = readdirSync(folder)
    .filter((name) => /^\d{4}-[a-z0-9-]+\.sql$/.test(name))
    .sort()
    .map((name) => ({ number: Number(name.slice(0, 4)), name, sql: readFileSync(new URL(name, folder), 'utf8') }));
  if (migrations.length === 0 || migrations.some((m, index) => m.number !== index + 1)) {
    throw new Fault({
      code: 'store-migration-failed',
      message: 'The migrations of this program are not complete',
      found: migrations.map((m) => m.name).join(', '),
      remedy: 'Install the program again.',
    });
  }
  return migrations;
}

/** Brings a database to the newest schema: forward only, one transaction each, after a copy beside the file where it holds anything.
 *  @returns the copy's path, or null where none was needed
 *  @throws Fault store-newer, store-not-ours, store-migration-failed, disk-full */
export function migrate(db: Database.Database, file: string, migrations: readonly Migration[]): string | null {
  // One moment: another process may be bringing the same file forward.
  const { has, isEmpty, id } = db.transaction(() => ({
    has: schemaOf(db),
    isEmpty: Number(db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get()) === 0,
    id: Number(db.pragma('application_id', { simple: true })),
  }))();
  if (!isEmpty && id !== applicationId) {
    throw new Fault({
      code: 'store-not-ours',
      message: storeErrors['store-not-ours'],
      place: file,
      remedy: 'Move that file away; a new one is made.',
      retry: 'after-fix',
    });
  }
  const newest = migrations.length;
  if (has > newest) {
    throw new Fault({
      code: 'store-newer',
      message: storeErrors['store-newer'],
      place: file,
      found: `schema ${has}, this program knows up to ${newest}`,
      remedy: 'Install the newer version again, or put back the copy that lies beside the file.',
      retry: 'after-fix',
    });
  }
  if (has === newest) return null;
  const copy = isEmpty ? null : copyBeside(db, file, has);
  for (const migration of migrations.slice(has)) apply(db, file, migration);
  return copy;
}

function schemaOf(db: Database.Database): number {
  return Number(db.pragma('user_version', { simple: true }));
}

function apply(db: Database.Database, file: string, migration: Migration): void {
  try {
    db.transaction(() => {
      // Another process may have been quicker.
      if (schemaOf(db) >= migration.number) return;
      db.exec(migration.sql);
      db.pragma(`application_id = ${applicationId}`);
      db.pragma(`user_version = ${migration.number}`);
    }).immediate();
  } catch (cause) {
    const fault = storeFault(cause, file);
    if (fault instanceof Fault && fault.code !== 'disk-error') throw fault;
    throw new Fault({
      code: 'store-migration-failed',
      message: storeErrors['store-migration-failed'],
      place: file,
      found: `${migration.name}: ${cause instanceof Error ? cause.message : String(cause)}`,
      remedy: 'Go on with the version before this one, and tell its makers.',
      cause,
    });
  }
}

function copyBeside(db: Database.Database, file: string, version: number): string | null {
  if (db.memory) return null;
  const copy = `${file}.before-schema-${version + 1}`;
  const unfinished = `${copy}.unfinished`;
  rmSync(unfinished, { force: true });
  db.prepare('VACUUM INTO ?').run(unfinished);
  const handle = openSync(unfinished, 'r+');
  try {
    fchmodSync(handle, 0o600);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  renameSync(unfinished, copy);
  return copy;
}
