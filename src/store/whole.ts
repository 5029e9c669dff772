import Database from 'better-sqlite3';
import { Fault } from '../domain/fault.js';
import { faultsOf, storeErrors } from './errors.js';

/** What is damaged in a data file that nobody but this program writes, or null where it is whole. Reads every page and writes
 *  nothing: a connection that may only read leaves the file alone even when it is closed, where another would put the log into it.
 *  @param waitMs  for another process's transaction
 *  @throws Fault where it cannot be looked at for another reason (no permission, no disk, held by another process)
 *  Source: SQLite, "PRAGMA quick_check". */
export function whyDamaged(file: string, waitMs: number): string | null {
  try {
    const said = faultsOf(file, () => {
      const db = new Database(file, { readonly: true, fileMustExist: true, timeout: waitMs });
      try {
        return String(db.pragma('quick_check(1)', { simple: true }));
      } finally {
        db.close();
      }
    });
    return said === 'ok' ? null : said.slice(0, 200);
  } catch (fault) {
    if (isDamage(fault)) return fault.found ?? fault.message;
    throw fault;
  }
}

/** A damaged file as a fault.
 *  @param found  what the check said */
export function damage(file: string, found: string): Fault {
  return new Fault({
    code: 'store-corrupt',
    message: storeErrors['store-corrupt'],
    place: file,
    found,
    remedy: 'Keep the file, stop the service, and put the newest copy in its place: shedbell restore FILE.',
    retry: 'after-fix',
  });
}

/** Whether something that was thrown says that the data are damaged. */
export function isDamage(failure: unknown): failure is Fault {
  return failure instanceof Fault && failure.code === 'store-corrupt';
}
