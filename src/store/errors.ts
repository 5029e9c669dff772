import { statfsSync } from 'node:fs';
import { dirname } from 'node:path';
import { Fault, type Retry } from '../domain/fault.js';

/** The codes of this folder, and when each is raised. */
export const storeErrors = {
  'disk-full': 'No room is left where the data are kept.',
  'disk-error': 'The disk did not read or write as asked.',
  'store-read-only': 'The data may be read but not written.',
  'store-cannot-open': 'The data file cannot be opened: no such folder, no permission, or not a file.',
  'store-corrupt': 'The data file is damaged, or is no database.',
  'store-not-ours': 'The data file is a database of something else.',
  'store-newer': 'The data were written by a newer version of this program.',
  'store-migration-failed': 'Bringing the data to this version failed; they are as they were.',
  'store-busy': 'Another process held the data for too long.',
  'store-closed': 'The data were used after they had been closed.',
  'store-refused': 'The data would have broken a rule of their own.',
  'store-value-missing': 'A value was missing on its way into the data.',
  'store-value-not-finite': 'A number on its way into the data was not finite, or too large to be kept exactly.',
  'store-row-unreadable': 'A row does not hold what its kind of fact holds.',
  'backup-not-ours': 'A file that is no backup stands where one is read or written.',
  'already-running': 'The service runs already on this home folder.',
} as const;

type StoreCode = keyof typeof storeErrors;

interface Told {
  readonly code: StoreCode;
  readonly remedy: string;
  readonly retry: Retry;
}

const byPrefix: readonly (readonly [string, Told])[] = [
  [
    'SQLITE_FULL',
    {
      code: 'disk-full',
      remedy: 'Make room on the disk, then try again. Nothing was half-written.',
      retry: 'after-fix',
    },
  ],
  [
    'SQLITE_READONLY',
    { code: 'store-read-only', remedy: 'Let this user write the file and its folder.', retry: 'after-fix' },
  ],
  [
    'SQLITE_CANTOPEN',
    {
      code: 'store-cannot-open',
      remedy: 'Check that the folder exists and that this user may write in it.',
      retry: 'after-fix',
    },
  ],
  [
    'SQLITE_PERM',
    { code: 'store-cannot-open', remedy: 'Let this user write the file and its folder.', retry: 'after-fix' },
  ],
  [
    'SQLITE_AUTH',
    { code: 'store-cannot-open', remedy: 'Let this user write the file and its folder.', retry: 'after-fix' },
  ],
  [
    'SQLITE_NOTADB',
    {
      code: 'store-corrupt',
      remedy: 'Keep the file, stop the service, and put the newest copy in its place: shedbell restore FILE.',
      retry: 'after-fix',
    },
  ],
  [
    'SQLITE_CORRUPT',
    {
      code: 'store-corrupt',
      remedy: 'Keep the file, stop the service, and put the newest copy in its place: shedbell restore FILE.',
      retry: 'after-fix',
    },
  ],
  ['SQLITE_BUSY', { code: 'store-busy', remedy: 'Try again in a moment.', retry: 'later' }],
  ['SQLITE_LOCKED', { code: 'store-busy', remedy: 'Try again in a moment.', retry: 'later' }],
  [
    'SQLITE_IOERR',
    { code: 'disk-error', remedy: 'Check the disk and the room on it, then try again.', retry: 'after-fix' },
  ],
  [
    'SQLITE_CONSTRAINT',
    { code: 'store-refused', remedy: 'This is a fault of the program; nothing was written.', retry: 'no' },
  ],
  ['SQLITE', { code: 'disk-error', remedy: 'Check the disk and the data file, then try again.', retry: 'after-fix' }],
];

const byErrno: Readonly<Record<string, Told>> = {
  ENOSPC: { code: 'disk-full', remedy: 'Make room on the disk, then try again.', retry: 'after-fix' },
  EDQUOT: { code: 'disk-full', remedy: 'Make room on the disk, then try again.', retry: 'after-fix' },
  EROFS: { code: 'store-read-only', remedy: 'Mount the disk so that it may be written.', retry: 'after-fix' },
  EACCES: { code: 'store-cannot-open', remedy: 'Let this user write the folder.', retry: 'after-fix' },
  EPERM: { code: 'store-cannot-open', remedy: 'Let this user write the folder.', retry: 'after-fix' },
  ENOENT: { code: 'store-cannot-open', remedy: 'Check that the folder exists.', retry: 'after-fix' },
  EISDIR: { code: 'store-cannot-open', remedy: 'Name a file, not a folder.', retry: 'after-fix' },
  ENOTDIR: { code: 'store-cannot-open', remedy: 'Check that the folder exists.', retry: 'after-fix' },
  EIO: { code: 'disk-error', remedy: 'Check the disk, then try again.', retry: 'after-fix' },
};

/** What the database or the file system said, as a fault in plain words; anything else comes back as it was.
 *  @param place the data file or folder */
export function storeFault(cause: unknown, place: string): unknown {
  if (cause instanceof Fault || !(cause instanceof Error)) return cause;
  const said = 'code' in cause && typeof cause.code === 'string' ? cause.code : null;
  if (cause instanceof TypeError && cause.message === 'The database connection is not open') {
    return new Fault({ code: 'store-closed', message: storeErrors['store-closed'], place, cause });
  }
  // A full disk has no room for the index of the log either, which SQLite calls an error of the disk (SQLITE_IOERR_SHMSIZE).
  const known = said?.startsWith('SQLITE_IOERR') && hasNoRoom(place) ? 'SQLITE_FULL' : said;
  const told =
    known === null ? undefined : (byPrefix.find(([prefix]) => known.startsWith(prefix))?.[1] ?? byErrno[known]);
  // Opening in a folder that is not there is told without a code.
  if (told === undefined && /directory does not exist/.test(cause.message)) {
    return storeFault(Object.assign(new Error(cause.message), { code: 'ENOENT' }), place);
  }
  if (told === undefined) return cause;
  return new Fault({
    code: told.code,
    message: storeErrors[told.code],
    place,
    // The file system begins with its code by itself.
    found: said === null || cause.message.startsWith(`${said}:`) ? cause.message : `${said}: ${cause.message}`,
    remedy: told.remedy,
    retry: told.retry,
    cause,
  });
}

/** Room that the index of the log takes at least. Source: SQLite, WAL-mode File Format, “The WAL-Index File Format”; the size from memory. */
const indexBytes = 32_768;

function hasNoRoom(place: string): boolean {
  for (const path of [place, dirname(place)]) {
    try {
      const { bavail, bsize } = statfsSync(path);
      return bavail * bsize < indexBytes;
    } catch {
      // Not there: its folder may be.
    }
  }
  return false;
}

/** Faults by which a disk says that it takes nothing. */
const refusing: readonly string[] = ['disk-full', 'disk-error', 'store-read-only', 'store-cannot-open'];

/** Whether something that was thrown says that the disk of the data takes nothing. */
export function isDiskRefusal(failure: unknown): failure is Fault {
  return failure instanceof Fault && refusing.includes(failure.code);
}

/** Runs an action on the disk or the database, and turns its failures into faults. */
export function faultsOf<T>(place: string, action: () => T): T {
  try {
    return action();
  } catch (cause) {
    throw storeFault(cause, place);
  }
}
