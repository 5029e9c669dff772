import {
  chmodSync,
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { Fault } from '../domain/fault.js';
import { faultsOf, storeErrors, storeFault } from './errors.js';
import { giveTo } from './give-to.js';
import { applicationId, readMigrations } from './migrate.js';
import { damage, isDamage, whyDamaged } from './whole.js';

/** A file of the home folder as a backup keeps it. */
export interface KeptFile {
  /** From the home folder, with forward slashes, such as `machines/bank-tractor.yaml`. */
  readonly path: string;
  readonly text: string;
}

/** What a backup says of itself. */
export interface BackupContents {
  readonly schema: number;
  readonly madeAtMs: number;
  readonly files: readonly KeptFile[];
  /** Rows by table. */
  readonly rows: ReadonlyMap<string, number>;
}

/** The tables that a backup has beside those of the data. */
const keptFiles = 'kept_files';
const keptAbout = 'kept_about';

/** Copies the data in `file` to `to` while the service goes on writing, puts the files of the home folder in, and proves the copy
 *  with integrity_check before it gets its name: a backup is whole or not there. Readable by its owner only, since it holds keys.
 *  @param makeCopy  absent: from the file; else from who holds it open
 *  @throws Fault backup-not-ours where `to` is something else, store-corrupt where the data are damaged, disk-full */
export async function backUp(
  file: string,
  to: string,
  kept: { readonly files: readonly KeptFile[]; readonly atMs: number },
  makeCopy: (to: string) => Promise<void> = (unfinished) => copyOf(file, unfinished),
): Promise<void> {
  refuseStrangers(file, to);
  const unfinished = `${to}.unfinished`;
  removeDatabase(unfinished);
  try {
    try {
      await makeCopy(unfinished);
    } catch (cause) {
      // Damage is the data's; room and permission are wanting where the copy goes.
      const fault = storeFault(cause, file);
      throw fault === cause || isDamage(fault) ? fault : placeFault(storeFault(cause, to));
    }
    faultsOfPlace(to, () => {
      asFarAsKnown(() => chmodSync(unfinished, 0o600));
      const copy = new Database(unfinished);
      try {
        // One file, without a log beside it.
        copy.pragma('journal_mode = DELETE');
        copy.exec(
          `CREATE TABLE ${keptFiles} (path TEXT PRIMARY KEY, text TEXT NOT NULL) STRICT;
           CREATE TABLE ${keptAbout} (made_at_ms INTEGER NOT NULL) STRICT;`,
        );
        const keep = copy.prepare(`INSERT INTO ${keptFiles} (path, text) VALUES (?, ?)`);
        for (const one of kept.files) keep.run(one.path, one.text);
        copy.prepare(`INSERT INTO ${keptAbout} (made_at_ms) VALUES (?)`).run(Math.round(kept.atMs));
        provenWhole(copy, file);
      } finally {
        copy.close();
      }
      flush(unfinished);
      renameSync(unfinished, to);
      asFarAsKnown(() => flush(dirname(to)));
    });
  } finally {
    removeDatabase(unfinished);
  }
}

async function copyOf(file: string, to: string): Promise<void> {
  const source = faultsOf(file, () => new Database(file, { fileMustExist: true, timeout: 5000 }));
  try {
    await source.backup(to);
  } finally {
    source.close();
  }
}

/** Reads a backup and proves it whole; changes nothing.
 *  @throws Fault backup-not-ours, store-newer, store-corrupt, store-cannot-open */
export function readBackup(file: string): BackupContents {
  if (!existsSync(file)) {
    throw new Fault({ code: 'store-cannot-open', message: 'There is no such backup', place: file, retry: 'after-fix' });
  }
  return faultsOfBackup(file, () => {
    if (!isBackup(file)) throw notOurs(file, 'This file is no backup of this program', 'Name a file that backup made.');
    const db = new Database(file, { readonly: true, fileMustExist: true });
    try {
      provenWhole(db, file);
      const schema = Number(db.pragma('user_version', { simple: true }));
      const newest = readMigrations().length;
      if (schema > newest) {
        throw new Fault({
          code: 'store-newer',
          message: storeErrors['store-newer'],
          place: file,
          found: `schema ${schema}, this program knows up to ${newest}`,
          remedy: 'Install the version that made the backup, or a newer one.',
          retry: 'after-fix',
        });
      }
      const files = db.prepare(`SELECT path, text FROM ${keptFiles} ORDER BY path`).all() as KeptFile[];
      const madeAtMs = Number(db.prepare(`SELECT max(made_at_ms) FROM ${keptAbout}`).pluck().get());
      return { schema, madeAtMs, files, rows: countRows(db) };
    } finally {
      db.close();
    }
  });
}

/** What the file of a backup says of itself when it is read, which is nothing about the data in use. */
function faultsOfBackup<T>(file: string, action: () => T): T {
  try {
    return faultsOf(file, action);
  } catch (failure) {
    if (!(failure instanceof Fault)) throw failure;
    const { code, found, retry } = failure;
    const told = { code, place: file, retry, cause: failure, ...(found === undefined ? {} : { found }) };
    if (isDamage(failure)) {
      const remedy = 'Nothing was changed. Take another backup: those of the last nights lie in data/backups.';
      throw new Fault({ ...told, message: 'This backup is damaged', remedy });
    }
    if (code === 'store-cannot-open') {
      throw new Fault({ ...told, message: 'This cannot be read', remedy: 'Name a file that this user may read.' });
    }
    throw failure;
  }
}

function faultsOfPlace<T>(to: string, action: () => T): T {
  try {
    return faultsOf(to, action);
  } catch (failure) {
    throw placeFault(failure);
  }
}

/** What the place of a backup refuses, in words that are not about the disk of the data. */
function placeFault(failure: unknown): unknown {
  if (!(failure instanceof Fault)) return failure;
  const { code, place, found, retry } = failure;
  const told = { code, place, retry, cause: failure, ...(found === undefined ? {} : { found }) };
  switch (code) {
    case 'disk-full':
      return new Fault({
        ...told,
        message: 'There is no room for the backup',
        remedy: 'Make room on that disk, or let fewer of the nights be kept: backup: { keep: … } in household.yaml.',
      });
    case 'store-read-only':
    case 'store-cannot-open':
      return new Fault({ ...told, message: 'The backup cannot be written here', remedy: failure.remedy });
    case 'disk-error':
      return new Fault({
        ...told,
        message: 'The disk of the backup does not read or write as asked',
        remedy: 'Is it still there? See whether it can be read, and replace it if not.',
      });
    default:
      return failure;
  }
}

/** Rows by table of data that are in use; empty where there are none, null where they cannot be read. */
export function rowsNow(file: string): ReadonlyMap<string, number> | null {
  if (!existsSync(file)) return new Map();
  try {
    const db = new Database(file, { readonly: true, fileMustExist: true });
    try {
      return countRows(db);
    } finally {
      db.close();
    }
  } catch {
    return null;
  }
}

/** Puts a backup in the place of the data; whoever calls holds the lock of the folder. What was there lies in `aside` afterwards,
 *  log included. Nobody stays signed in. A kill at any moment leaves either the old data or the new.
 *  @param aside  a folder for what is replaced; made where missing
 *  @throws Fault as `readBackup`; disk-full */
export async function restoreData(backup: string, file: string, aside: string): Promise<void> {
  readBackup(backup);
  const fresh = `${file}.restoring`;
  removeDatabase(fresh);
  faultsOf(file, () => mkdirSync(aside, { recursive: true, mode: 0o700 }));
  const source = new Database(backup, { readonly: true, fileMustExist: true });
  try {
    await faultsLater(file, () => source.backup(fresh));
  } finally {
    source.close();
  }
  faultsOf(file, () => {
    chmodSync(fresh, 0o600);
    const db = new Database(fresh);
    try {
      db.pragma('journal_mode = DELETE');
      db.exec(`DROP TABLE ${keptFiles}; DROP TABLE ${keptAbout};`);
      const signsIn = db.prepare(`SELECT count(*) FROM sqlite_schema WHERE name = 'sessions'`).pluck().get();
      if (signsIn === 1) db.exec('DELETE FROM sessions');
      provenWhole(db, backup);
    } finally {
      db.close();
    }
    flush(fresh);
    // The log goes first into the file it belongs to; where the data are too damaged for that, it is kept beside them.
    emptyLog(file);
    for (const end of ['-wal', '-shm']) {
      if (existsSync(file + end)) renameSync(file + end, join(aside, basename(file) + end));
    }
    if (existsSync(file)) keepCopy(file, join(aside, basename(file)));
    giveTo(dirname(file), [fresh, aside]);
    renameSync(fresh, file);
    flush(dirname(file));
  });
}

/** When a backup was made, Unix milliseconds, or null where the file is none or cannot be read. Looks at no more than that. */
export function backupMadeAtMs(file: string): number | null {
  if (!existsSync(file) || !isBackup(file)) return null;
  try {
    const db = new Database(file, { readonly: true, fileMustExist: true });
    try {
      const madeAtMs = db.prepare(`SELECT max(made_at_ms) FROM ${keptAbout}`).pluck().get();
      return typeof madeAtMs === 'number' ? madeAtMs : null; // no row: what was made to look like a backup, not one of 1970
    } finally {
      db.close();
    }
  } catch {
    return null;
  }
}

/** Whether a file bears our mark and was made by `backUp`. */
function isBackup(file: string): boolean {
  if (!hasOurMark(file)) return false;
  try {
    const db = new Database(file, { readonly: true, fileMustExist: true });
    try {
      const tables = db.prepare('SELECT count(*) FROM sqlite_schema WHERE name IN (?, ?)').pluck();
      return tables.get(keptFiles, keptAbout) === 2;
    } finally {
      db.close();
    }
  } catch {
    // Ours by its mark, and damaged further in.
    return true;
  }
}

/** The mark stands at byte 68 of the file. Source: the SQLite database file format, section 1.3, "Application ID". */
function hasOurMark(file: string): boolean {
  const handle = openSync(file, 'r');
  try {
    const head = Buffer.alloc(100);
    return readSync(handle, head, 0, 100, 0) === 100 && head.readUInt32BE(68) === applicationId;
  } finally {
    closeSync(handle);
  }
}

function refuseStrangers(file: string, to: string): void {
  if (!faultsOf(to, () => existsSync(to))) return;
  const isSame = existsSync(file) && realpathSync(to) === realpathSync(file);
  if (isSame || !faultsOf(to, () => isBackup(to))) {
    throw notOurs(to, 'There is a file here that is no backup', 'Name another file, or move this one away.');
  }
}

function notOurs(place: string, message: string, remedy: string): Fault {
  return new Fault({ code: 'backup-not-ours', message, place, remedy, retry: 'after-fix' });
}

function provenWhole(db: Database.Database, place: string): void {
  const state = String(db.pragma('integrity_check(1)', { simple: true }));
  if (state === 'ok') return;
  throw damage(place, state.slice(0, 200));
}

function countRows(db: Database.Database): ReadonlyMap<string, number> {
  const tables = db
    .prepare(`SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`)
    .pluck()
    .all() as string[];
  const facts = tables.filter((name) => name !== keptFiles && name !== keptAbout);
  return new Map(facts.map((name) => [name, Number(db.prepare(`SELECT count(*) FROM "${name}"`).pluck().get())]));
}

function emptyLog(file: string): void {
  if (!existsSync(file)) return;
  try {
    // Damaged: it is kept as it is, its log beside it.
    if (whyDamaged(file, 2000) !== null) return;
    const db = new Database(file, { timeout: 2000 });
    db.pragma('wal_checkpoint(TRUNCATE)');
    db.close();
  } catch {
    // Nobody can open it: it is kept all the same.
  }
}

/** A copy, so that there is no moment without one. */
function keepCopy(file: string, kept: string): void {
  rmSync(kept, { force: true });
  copyFileSync(file, kept);
  flush(kept);
}

function removeDatabase(file: string): void {
  for (const end of ['', '-journal', '-wal', '-shm']) rmSync(file + end, { force: true });
}

/** What file systems answer that know no permissions, or no flushing of a folder, as some of sticks and network shares do. Source: chmod(2),
 *  fsync(2). */
const notKnown: readonly unknown[] = ['EPERM', 'EINVAL', 'ENOSYS', 'ENOTSUP', 'EOPNOTSUPP'];

/** Does what not every file system knows: a backup there is better than none. */
function asFarAsKnown(action: () => void): void {
  try {
    action();
  } catch (failure) {
    if (!(failure instanceof Error && 'code' in failure && notKnown.includes(failure.code))) throw failure;
  }
}

function flush(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

async function faultsLater<T>(place: string, action: () => Promise<T>): Promise<T> {
  try {
    return await action();
  } catch (cause) {
    return faultsOf(place, () => {
      throw cause;
    });
  }
}
