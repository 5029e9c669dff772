import { existsSync, mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import type { Home } from '../domain/home.js';
import type { Log } from '../domain/outside.js';
import { readHomeFiles } from '../home/kept-files.js';
import { loadHome } from '../home/load-home.js';
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
