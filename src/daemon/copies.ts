import { readdirSync } from 'node:fs';
import { isAbsolute, join } from 'node:path';
import { type Day, dayOf, type Zone } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import { backupMadeAtMs, readBackup } from '../store/backup.js';

/** A nightly backup that was just proved whole. */
export interface Copy {
  readonly file: string;
  readonly madeAtMs: number;
}

const ownName = /^shedbell-\d{4}-\d{2}-\d{2}\.sqlite$/;

/** What a power cut leaves of a backup under way. */
const unfinishedName = /^shedbell-\d{4}-\d{2}-\d{2}\.sqlite\.unfinished(?:-journal|-wal|-shm)?$/;

/** Names of nightly backups that were never finished; empty where the folder cannot be read. */
export function unfinishedIn(folder: string): readonly string[] {
  return namesIn(folder).filter((name) => unfinishedName.test(name));
}

/** Where the nightly backups of a home folder lie. */
export function copiesFolder(homeDir: string, { backup }: Pick<Household, 'backup'>): string {
  return isAbsolute(backup.folder) ? backup.folder : join(homeDir, backup.folder);
}

/** Where they may lie: also where they were before household.yaml named a folder, which is where they are when its disk is gone. */
export function copiesFolders(homeDir: string, household: Pick<Household, 'backup'>): readonly string[] {
  return [...new Set([copiesFolder(homeDir, household), join(homeDir, 'data', 'backups')])];
}

/** The name of a night's backup. */
export function copyName(day: Day): string {
  return `shedbell-${day}.sqlite`;
}

/** Names of nightly backups by the days in them, oldest first; empty where the folder cannot be read. */
export function copiesIn(folder: string): readonly string[] {
  return namesIn(folder)
    .filter((name) => ownName.test(name))
    .sort();
}

function namesIn(folder: string): readonly string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}

/** The newest nightly backup whose every page is sound today: a stick that lies in a shed for years may have lost some since. By
 *  when they were made, not by their names, because clocks are set back. Null where there is none. */
export function newestCopy(...folders: readonly string[]): Copy | null {
  const known = folders
    .flatMap((folder) => copiesIn(folder).map((name) => join(folder, name)))
    .map((file) => ({ file, madeAtMs: backupMadeAtMs(file) }))
    .filter((one): one is Copy => one.madeAtMs !== null && Number.isFinite(one.madeAtMs))
    .sort((a, b) => b.madeAtMs - a.madeAtMs);
  return known.find(({ file }) => isSound(file)) ?? null;
}

function isSound(file: string): boolean {
  try {
    readBackup(file);
    return true;
  } catch {
    return false;
  }
}

/** A backup with the day it is of, as it is told; null where there is none. */
export function datedCopy(copy: Copy | null, zone: Zone): { readonly file: string; readonly day: Day } | null {
  return copy === null ? null : { file: copy.file, day: dayOf(copy.madeAtMs, zone) };
}
