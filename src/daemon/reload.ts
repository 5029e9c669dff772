import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { dayMs, parseZone } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Log } from '../domain/outside.js';
import type { Witness } from '../home/check-witness.js';
import { loadHome } from '../home/load-home.js';

/** Watches the home folder by looking once a minute: file events get lost on network shares and small computers. */
export interface Reload {
  /** Reads again if a file changed; hands a valid home over, keeps the old one otherwise. */
  look(): void;
  /** Plain sentences about files that changed but are not valid; empty where all is well. */
  problems(): readonly string[];
}

/** @param witness    what the days and meter values of a changed file are held against
 *  @param isEarlier  the service runs with settings from before the folder's last change, which has errors: it is read at the first look */
export function watchHome(
  dir: string,
  witness: Witness,
  take: (home: Home) => void,
  log: Log,
  isEarlier = false,
): Reload {
  let seen = isEarlier ? null : fingerprint(dir);
  let seenDay = dayNow(witness);
  let problems: readonly string[] = [];
  return {
    look() {
      const now = fingerprint(dir);
      const day = dayNow(witness);
      // A day that lay ahead when a file was refused may have come.
      if (now === seen && (problems.length === 0 || day === seenDay)) return;
      seen = now;
      seenDay = day;
      const loaded = loadHome(dir, process.env, witness);
      if (loaded.kind === 'home') {
        problems = [];
        take(loaded.home);
        log.info({ machines: loaded.home.machines.length }, 'the home folder changed and was read again');
        return;
      }
      // The file as it is called in the home folder: the way to the folder is long, and whoever edits in it knows it.
      const first = (loaded.faults[0]?.line ?? '').replaceAll(`${dir.replace(/\/+$/, '')}/`, '');
      problems = [
        `The home folder changed but has ${loaded.faults.length === 1 ? 'an error' : `${loaded.faults.length} errors`}, so the settings before the change stay in use: ${first}`,
      ];
      log.error({ faults: loaded.faults.slice(0, 5).map((f) => f.line) }, 'the home folder changed but is not valid');
    },
    problems: () => problems,
  };
}

/** Days since 1970 in UTC. */
function dayNow(witness: Witness): number {
  return Math.floor((witness.nowMs(parseZone('UTC')) ?? 0) / dayMs);
}

/** Names, sizes and times of all configuration files and secrets; an unreadable folder counts as empty. The time of the last
 *  change of mode or owner is among them: a file that may be read from now on is one that changed. */
export function fingerprint(dir: string): string {
  return ['', 'machines', 'plans', 'secrets']
    .flatMap((folder) => {
      try {
        const names = readdirSync(join(dir, folder))
          .filter((name) => folder === 'secrets' || /\.ya?ml$/.test(name))
          .sort();
        return names.map((name) => {
          const { size, mtimeMs, ctimeMs } = statSync(join(dir, folder, name));
          return `${folder}/${name}:${size}:${mtimeMs}:${ctimeMs}`;
        });
      } catch {
        return [];
      }
    })
    .join('|');
}
