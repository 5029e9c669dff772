import { randomUUID } from 'node:crypto';
import { chmodSync, existsSync, statSync } from 'node:fs';
import Database from 'better-sqlite3';
import type { Log } from '../domain/outside.js';
import { faultsOf, storeFault } from './errors.js';
import { type Migration, migrate, readMigrations } from './migrate.js';
import { type Sql, sqlOn } from './sql.js';
import { damage, whyDamaged } from './whole.js';

/** The facts on disk. Only the files of this folder use `sql`; the ledger calls them inside `write`. */
export interface Store {
  readonly file: string;
  readonly sql: Sql;
  /** Names this opening, so that an attempt left over by a crash is told from one under way. */
  readonly session: string;
  /** One immediate transaction: all of it or none. A call within a call joins the outer one, and undoes only itself when it throws. */
  write<T>(action: () => T): T;
  /** As `write`, for what is no fact (marks of the outbox, keys): the version of the facts stays. */
  mark<T>(action: () => T): T;
  /** Everything read inside is of one moment. */
  read<T>(action: () => T): T;
  /** Grows whenever any fact changes, also by another process; equal numbers mean equal facts. */
  dataVersion(): number;
  /** The next id of its kind, such as `record-12`: short, because a person may have to type it. Inside `write` or `mark` only. */
  newId(kind: string): string;
  /** Copies all of it to a new file while others write, also where the file itself was taken away meanwhile: what this opening holds is
   *  still there. */
  copyTo(file: string): Promise<void>;
  close(): void;
}

export interface StoreOptions {
  readonly log?: Log;
  /** Called before every statement that writes; throwing here is as if the disk had failed there. For walks over faults. */
  readonly beforeRun?: (statement: string) => void;
  /** Milliseconds to wait for another process's transaction. */
  readonly busyMs?: number;
  readonly migrations?: readonly Migration[];
}

const busyMs = 5000;
/** The write-ahead log is cut back to this after it was needed longer, so that it never fills a small card. */
const walBytes = 4 * 1024 * 1024;
/** A commit writes whole pages. A feed changes a few short rows every ten seconds, so small pages write a quarter of what SQLite's own 4096
 *  would; a store that was made with other pages keeps them. */
const pageBytes = 1024;

/** Opens the facts in `file` (made where missing) or in memory, checks them and brings them to this version's schema.
 *  @throws Fault store-cannot-open, store-corrupt, store-not-ours, store-newer, store-read-only, store-migration-failed, disk-full */
export function openStore(file: string, options: StoreOptions = {}): Store {
  const isNew = file !== ':memory:' && !existsSync(file);
  if (!isNew && isFile(file)) refuseDamaged(file, options.busyMs ?? busyMs);
  const db = faultsOf(file, () => new Database(file, { timeout: options.busyMs ?? busyMs }));
  try {
    // It holds the key of the links. The log beside it takes its permissions over.
    if (isNew) faultsOf(file, () => chmodSync(file, 0o600));
    prepare(db, file, options);
  } catch (cause) {
    db.close();
    throw storeFault(cause, file);
  }
  const sql = sqlOn(db, file, options.beforeRun ?? (() => {}));
  const versions = watchVersions(db, file, sql);
  const transact = <T>(action: () => T): T => faultsOf(file, () => db.transaction(action).immediate());

  return {
    file,
    sql,
    session: randomUUID(),
    write: (action) =>
      transact(() => {
        const before = changesOf(sql);
        const result = action();
        if (changesOf(sql) !== before) sql.run('UPDATE counter SET facts_version = facts_version + 1 WHERE id = 1');
        return result;
      }),
    mark: transact,
    read: (action) => faultsOf(file, () => db.transaction(action).deferred()),
    dataVersion: versions,
    newId: (kind) => nextId(sql, kind),
    copyTo: async (to) => {
      await db.backup(to);
    },
    close: () => {
      if (!db.open) return;
      // A reader elsewhere may keep the log from being emptied; then the next opening does it.
      try {
        db.pragma('wal_checkpoint(TRUNCATE)');
      } catch (cause) {
        options.log?.warn({ code: 'disk-error', cause: String(cause) }, 'the write-ahead log was not emptied');
      }
      db.close();
    },
  };
}

/** Looked at before it is opened for writing: a damaged file is left as it is, to the byte. */
function refuseDamaged(file: string, waitMs: number): void {
  const found = whyDamaged(file, waitMs);
  if (found !== null) throw damage(file, found);
}

function isFile(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isFile() ?? false;
}

function prepare(db: Database.Database, file: string, options: StoreOptions): void {
  // Has a say only in an empty file, and before the log is chosen.
  db.pragma(`page_size = ${pageBytes}`);
  writeAhead(db, options.busyMs ?? busyMs);
  db.pragma('synchronous = FULL');
  db.pragma('foreign_keys = ON');
  db.pragma(`journal_size_limit = ${walBytes}`);
  db.pragma('temp_store = MEMORY');
  db.pragma('trusted_schema = OFF');
  const copy = migrate(db, file, options.migrations ?? readMigrations());
  if (copy !== null) options.log?.info({ copy }, 'the data were brought to a newer schema; a copy lies beside them');
}

/** Chooses the write-ahead log. Two processes that open a new file at once are in each other's way here, and SQLite answers "busy" at once
 *  instead of waiting, so the wait is made here. */
function writeAhead(db: Database.Database, waitMs: number): void {
  const until = performance.now() + waitMs;
  for (;;) {
    try {
      db.pragma('journal_mode = WAL');
      return;
    } catch (cause) {
      if (!isBusy(cause) || performance.now() >= until) throw cause;
    }
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 5);
  }
}

function isBusy(cause: unknown): boolean {
  return cause instanceof Error && 'code' in cause && String(cause.code).startsWith('SQLITE_BUSY');
}

/** The counter in the database tells of every write through this program; SQLite's own data_version also of a stranger's. */
function watchVersions(db: Database.Database, file: string, sql: Sql): () => number {
  const look = () => ({
    counter: Number(sql.row('SELECT facts_version FROM counter WHERE id = 1')?.facts_version ?? 0),
    elsewhere: Number(faultsOf(file, () => db.pragma('data_version', { simple: true }))),
  });
  let strays = 0;
  let last = look();
  return () => {
    const now = look();
    if (now.elsewhere !== last.elsewhere && now.counter === last.counter) strays += 1;
    last = now;
    return now.counter + strays;
  };
}

function changesOf(sql: Sql): number {
  return Number(sql.row('SELECT total_changes() AS changes')?.changes ?? 0);
}

function nextId(sql: Sql, kind: string): string {
  sql.run('INSERT INTO ids (kind, last) VALUES (:kind, 1) ON CONFLICT (kind) DO UPDATE SET last = last + 1', { kind });
  return `${kind}-${Number(sql.row('SELECT last FROM ids WHERE kind = :kind', { kind })?.last)}`;
}
