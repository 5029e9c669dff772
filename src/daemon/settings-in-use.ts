import { existsSync, mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import type { Home } from '../domain/home.js';
import type { Household } from '../domain/household.js';
import type { Log } from '../domain/outside.js';
import { readHomeFiles } from '../home/kept-files.js';
import { loadHome } from '../home/load-home.js';
import { bareHousehold, loadHousehold } from '../home/load-household.js';
import { copiesIn } from './copies.js';
import { dataFolder } from './wire.js';

const folderOf = (homeDir: string) => join(dataFolder(homeDir), 'settings-in-use');

/** Keeps a copy of the configuration files that the service runs with, so that a start after a slip in one of them has something to
 *  run with. Files that changed meanwhile and have errors are not kept, and a disk that takes nothing is only logged. */
export function keepSettings(homeDir: string, log: Log): void {
  const folder = folderOf(homeDir);
  const unfinished = `${folder}.unfinished`;
  const before = `${folder}.before`;
  try {
    const files = readHomeFiles(homeDir);
    if (existsSync(folder) && isDeepStrictEqual(readHomeFiles(folder), files)) return;
    rmSync(unfinished, { recursive: true, force: true });
    for (const { path, text } of files) {
      const file = join(unfinished, path);
      mkdirSync(dirname(file), { recursive: true, mode: 0o700 });
      writeFileSync(file, text, { mode: 0o600 });
    }
    if (loadHome(homeDir, process.env, null, unfinished).kind === 'home') {
      // Killed at any moment, one of the two is there.
      if (existsSync(folder)) {
        rmSync(before, { recursive: true, force: true });
        renameSync(folder, before);
      }
      renameSync(unfinished, folder);
      rmSync(before, { recursive: true, force: true });
    }
    rmSync(unfinished, { recursive: true, force: true });
  } catch (failure) {
    log.warn({ failure: String(failure) }, 'no copy of the settings could be kept');
  }
}

/** The home as it was when its files were last free of errors; null where none is kept, or it does not load any more. */
export function homeInUse(homeDir: string): Home | null {
  const folder = folderOf(homeDir);
  for (const kept of [folder, `${folder}.before`]) {
    const loaded = loadHome(homeDir, process.env, null, kept);
    if (loaded.kind === 'home') return loaded.home;
  }
  return null;
}

/** Whether the service ever ran on a home folder: it keeps a copy of its settings and makes a backup with its first steps. */
export function hasServed(homeDir: string): boolean {
  return existsSync(folderOf(homeDir)) || copiesIn(join(dataFolder(homeDir), 'backups')).length > 0;
}

/** Whom word can be sent to where the settings as a whole cannot be used: household.yaml alone, as it stands or as it was kept; one
 *  without people where neither can be read. */
export function householdToTell(homeDir: string): Household {
  const folder = folderOf(homeDir);
  for (const from of [homeDir, folder, `${folder}.before`]) {
    const read = loadHousehold(homeDir, join(from, 'household.yaml'), process.env);
    if (read.kind === 'household') return read.household;
  }
  return bareHousehold();
}
