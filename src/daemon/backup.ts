import { existsSync, mkdirSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { addDays, dayMs, dayOf, hourMs } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Log } from '../domain/outside.js';
import { readHomeFiles } from '../home/kept-files.js';
import type { Books } from '../ledger/books.js';
import { backUp } from '../store/backup.js';
import { storeFault } from '../store/errors.js';
import { copiesFolder, copiesIn, copyName, newestCopy, unfinishedIn } from './copies.js';

/** The nightly backup of a running service. */
export interface NightlyBackup {
  /** Makes one where none was made since three in the morning; a second call meanwhile waits for the first. */
  look(): Promise<void>;
  /** Where the data file was taken away, makes a last one of what the service still holds, which ends with it. */
  rescue(): Promise<void>;
  /** When the newest that is whole was made, or null where there is none. */
  lastAtMs(): number | null;
  /** Plain sentences; empty where all is well. */
  problems(): readonly string[];
}

/** Nobody works at this hour. */
export const hourOfNight = 3;
/** One night may be missed with the computer off; two are worth a word. */
const oldFromMs = 2 * dayMs + 6 * hourMs;
/** After a failure the next try waits, so that a full disk is not written to every minute. */
const againMs = hourMs;

/** Watches over the backups of a home folder; where and how many is read from household.yaml each time.
 *  @param failing  told of each failure: proving a copy proves the data too */
export function keepBackups(
  books: Books,
  homeDir: string,
  log: Log,
  failing: (failure: unknown) => void = () => {},
): NightlyBackup {
  let failed: { readonly atMs: number; readonly why: string } | null = null;
  let underWay: Promise<void> | null = null;
  let seen: { readonly folder: string; readonly atMs: number | null } | null = null;
  const startedMs = books.clock.nowMs();
  /** What the service holds was copied since its data file was taken away. */
  let isRescued = false;
  const isGone = () => !existsSync(books.store.file);

  const folderNow = () => copiesFolder(homeDir, books.home().household);
  const lastAtMs = () => {
    const folder = folderNow();
    if (seen?.folder !== folder) seen = { folder, atMs: newestCopy(folder)?.madeAtMs ?? null };
    return seen.atMs;
  };
  const make = async () => {
    const nowMs = books.clock.nowMs();
    const { household } = books.home();
    const folder = folderNow();
    try {
      makeFolder(folder);
      const files = readHomeFiles(homeDir);
      const name = copyName(dayOf(nowMs, household.zone));
      const held = isGone() ? (to: string) => books.store.copyTo(to) : undefined;
      await backUp(books.store.file, join(folder, name), { files, atMs: nowMs }, held);
      isRescued = held !== undefined;
      dropOldest(folder, household.backup.keep, name);
      failed = null;
      seen = { folder, atMs: nowMs };
      log.info({ folder }, 'a backup was made and proved whole');
    } catch (failure) {
      failing(failure);
      const told = failure instanceof Fault ? failure.line : String(failure);
      const why = folder.startsWith(`${homeDir}/`) || !isClosed(failure) ? told : `${told} ${unitHint}`;
      failed = { atMs: nowMs, why };
      log.error({ failure: why }, 'the nightly backup failed');
    }
  };

  return {
    lastAtMs,
    look() {
      if (underWay !== null) return underWay;
      const nowMs = books.clock.nowMs();
      const isResting = failed !== null && nowMs >= failed.atMs && nowMs - failed.atMs < againMs;
      const isNight = isDue(lastAtMs(), nowMs, books.home().household.zone);
      if (isResting || !(isNight || (isGone() && !isRescued))) return Promise.resolve();
      underWay = make().finally(() => {
        underWay = null;
      });
      return underWay;
    },
    async rescue() {
      await underWay;
      if (isGone()) await make();
    },
    problems() {
      const why = failed === null ? [] : [`The nightly backup failed: ${failed.why}`];
      const last = lastAtMs();
      const { zone } = books.home().household;
      const nowMs = books.clock.nowMs();
      const isOld = nowMs - (last ?? startedMs) > oldFromMs;
      if (!isOld) return why;
      const age = last === null ? 'There is no backup yet' : `The last backup is of ${dayOf(last, zone)}`;
      return [...why, `${age}. Its folder is ${folderNow()}: can it be reached and written, and is there room?`];
    },
  };
}

/** Whether three in the morning passed since the last one. */
function isDue(lastMs: number | null, nowMs: number, zone: Parameters<typeof dayOf>[1]): boolean {
  if (lastMs === null) return true;
  // The day that begins at three.
  const night = (atMs: number) => dayOf(atMs - hourOfNight * hourMs, zone);
  // A clock that was set back leaves backups of days to come; the next one is made when a day has passed.
  if (lastMs > nowMs) return night(lastMs) > addDays(night(nowMs), 1);
  return night(lastMs) < night(nowMs);
}

const unitHint = 'Under systemd its unit has to name the folder: see “Backup” in the README.';

/** Whether a folder may not be written, which the sandbox of a unit looks like from within. */
function isClosed(failure: unknown): boolean {
  return failure instanceof Fault && ['store-read-only', 'store-cannot-open'].includes(failure.code);
}

/** Makes a folder where it is missing.
 *  @throws Fault  named after the folder, with what the system says of the first part of it that cannot be made: of a disk that may
 *                 only be read, Node says that the folder is missing */
function makeFolder(folder: string): void {
  if (existsSync(folder)) return;
  const above = dirname(folder);
  if (above !== folder) makeFolder(above);
  try {
    mkdirSync(folder, { mode: 0o700 });
  } catch (cause) {
    const fault = storeFault(cause, folder);
    if (!(fault instanceof Fault)) throw fault;
    const { code, place, found, retry } = fault;
    throw new Fault({
      code,
      message: 'This folder cannot be made',
      place,
      found,
      remedy:
        code === 'disk-full'
          ? 'Make room on that disk.'
          : 'Is its disk there, and may the user of the service write it?',
      retry,
      cause,
    });
  }
}

/** By the days of their names; the one just made stays, even where the clock was set back and others bear later days. What a power cut
 *  left of one under way in an earlier night goes too: as large as the data, and no night would come back to it. */
function dropOldest(folder: string, keep: number, justMade: string): void {
  const others = copiesIn(folder).filter((name) => name !== justMade);
  const tooMany = others.slice(0, Math.max(0, others.length - keep + 1));
  for (const name of [...tooMany, ...unfinishedIn(folder)]) rmSync(join(folder, name), { force: true });
}
