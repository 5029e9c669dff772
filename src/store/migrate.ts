import { closeSync, fchmodSync, fsyncSync, openSync, readdirSync, readFileSync, renameSync, rmSync } from 'node:fs';
import Database from 'better-sqlite3';
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

/** Brings a database to the newest schema: forward only, all or nothing, after a copy beside the file where it holds anything. Another
 *  process that opens the file meanwhile waits, and finds it ready.
 *  @returns the copy's path, or null where none was needed
 *  @throws Fault store-newer, store-not-ours, store-migration-failed, disk-full */
export function migrate(db: Database.Database, file: string, migrations: readonly Migration[]): string | null {
  const newest = migrations.length;
  if (db.transaction(() => stepsTo(newest, db, file))() === 0) return null;
  return db
    .transaction(() => {
      // Another process may have been quicker.
      const steps = stepsTo(newest, db, file);
      const has = newest - steps;
      const copy = steps === 0 || isEmpty(db) ? null : copyBeside(db, file, has);
      for (const migration of migrations.slice(has)) apply(db, file, migration);
      return copy;
    })
    .immediate();
}

/** How many migrations the database lacks.
 *  @throws Fault store-newer, store-not-ours */
function stepsTo(newest: number, db: Database.Database, file: string): number {
  if (!isEmpty(db) && Number(db.pragma('application_id', { simple: true })) !== applicationId) {
    throw new Fault({
      code: 'store-not-ours',
      message: storeErrors['store-not-ours'],
      place: file,
      remedy: 'Move that file away; a new one is made.',
      retry: 'after-fix',
    });
  }
  const has = Number(db.pragma('user_version', { simple: true }));
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
  return newest - has;
}

function isEmpty(db: Database.Database): boolean {
  return Number(db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get()) === 0;
}

function apply(db: Database.Database, file: string, migration: Migration): void {
  try {
    db.exec(migration.sql);
    db.pragma(`application_id = ${applicationId}`);
    db.pragma(`user_version = ${migration.number}`);
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

/** A connection of its own makes it: SQLite makes none within a transaction, and the one that holds the file for writing is within one. */
function copyBeside(db: Database.Database, file: string, version: number): string | null {
  if (db.memory) return null;
  const copy = `${file}.before-schema-${version + 1}`;
  const unfinished = `${copy}.unfinished`;
  rmSync(unfinished, { force: true });
  const reader = new Database(file, { readonly: true, fileMustExist: true });
  try {
    reader.prepare('VACUUM INTO ?').run(unfinished);
  } finally {
    reader.close();
  }
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
