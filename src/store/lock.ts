import { accessSync, constants, mkdirSync, readFileSync, rmSync, statfsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { Fault } from '../domain/fault.js';
import { faultsOf, storeErrors, storeFault } from './errors.js';

/** Held by the one process that is the service on this folder. */
export interface Lock {
  /** Process that held it before and ended without giving it back; null after a clean end. */
  readonly tookOverFrom: number | null;
  release(): void;
}

/** Below this the service does not start: the first evening would end in half a day's silence. */
export const leastFreeBytes = 8 * 1024 * 1024;

/** Takes the lock of a data folder (made where missing) for this process.
 *  The lock itself is the operating system's (an exclusive SQLite transaction on `start.lock`), so that it falls with the process
 *  that held it, however that ended, and a reused process id can mislead nobody. `start.pid` beside it is for people.
 *  @param freeBytes room on the disk; handed in by tests
 *  @throws Fault already-running, disk-full, store-cannot-open, store-read-only */
export function takeLock(
  folder: string,
  options: { readonly pid: number; readonly freeBytes?: (folder: string) => number },
): Lock {
  const pidFile = join(folder, 'start.pid');
  faultsOf(folder, () => mkdirSync(folder, { recursive: true, mode: 0o700 }));
  const free = faultsOf(folder, () => (options.freeBytes ?? freeBytesOn)(folder));
  if (free < leastFreeBytes) {
    throw new Fault({
      code: 'disk-full',
      message: storeErrors['disk-full'],
      place: folder,
      found: `${Math.floor(free / 1024)} KiB free`,
      remedy: `Make room: at least ${leastFreeBytes / 1024 / 1024} MiB.`,
      retry: 'after-fix',
    });
  }
  // SQLite itself only says that it cannot open its file.
  faultsOf(folder, () => accessSync(folder, constants.W_OK));
  const lockFile = join(folder, 'start.lock');
  const db = faultsOf(lockFile, () => new Database(lockFile, { timeout: 0 }));
  try {
    db.exec('BEGIN EXCLUSIVE');
  } catch (cause) {
    db.close();
    const fault = storeFault(cause, lockFile);
    if (!(fault instanceof Fault) || fault.code !== 'store-busy') throw fault;
    const holder = pidIn(pidFile);
    throw new Fault({
      code: 'already-running',
      message: storeErrors['already-running'],
      place: folder,
      found: holder === null ? 'another process' : `process ${holder}`,
      remedy: 'Stop that one first, or use another home folder.',
      retry: 'later',
    });
  }
  const before = pidIn(pidFile);
  try {
    faultsOf(pidFile, () => writeFileSync(pidFile, `${options.pid}\n`, { mode: 0o644 }));
  } catch (fault) {
    db.close();
    throw fault;
  }
  return {
    tookOverFrom: before,
    release: () => {
      if (!db.open) return;
      rmSync(pidFile, { force: true });
      db.close();
    },
  };
}

function pidIn(file: string): number | null {
  try {
    const pid = Number(readFileSync(file, 'utf8').trim());
    return Number.isInteger(pid) && pid > 0 ? pid : null;
  } catch {
    return null;
  }
}

function freeBytesOn(folder: string): number {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}
