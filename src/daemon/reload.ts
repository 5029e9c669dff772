import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { Home } from '../domain/home.js';
import type { Log } from '../domain/outside.js';
import { loadHome } from '../home/load-home.js';

/** Watches the home folder by looking once a minute: file events get lost on network shares and small computers. */
export interface Reload {
  /** Reads again if a file changed; hands a valid home over, keeps the old one otherwise. */
  look(): void;
  /** Plain sentences about files that changed but are not valid; empty where all is well. */
  problems(): readonly string[];
}

export function watchHome(dir: string, take: (home: Home) => void, log: Log): Reload {
  let seen = fingerprint(dir);
  let problems: readonly string[] = [];
  return {
    look() {
      const now = fingerprint(dir);
      if (now === seen) return;
      seen = now;
      const loaded = loadHome(dir);
      if (loaded.kind === 'home') {
        problems = [];
        take(loaded.home);
        log.info({ machines: loaded.home.machines.length }, 'the home folder changed and was read again');
        return;
      }
      problems = [
        `The home folder changed but has ${loaded.faults.length === 1 ? 'an error' : `${loaded.faults.length} errors`}, so the settings before the change stay in use: ${loaded.faults[0]?.line ?? ''}`,
      ];
      log.error({ faults: loaded.faults.slice(0, 5).map((f) => f.line) }, 'the home folder changed but is not valid');
    },
    problems: () => problems,
  };
}

/** Names, sizes and times of all configuration files; an unreadable folder counts as empty. */
function fingerprint(dir: string): string {
  return ['', 'machines', 'plans']
    .flatMap((folder) => {
      try {
        return readdirSync(join(dir, folder))
          .filter((name) => /\.ya?ml$/.test(name))
          .sort()
          .map((name) => {
            const { size, mtimeMs } = statSync(join(dir, folder, name));
            return `${folder}/${name}:${size}:${mtimeMs}`;
          });
      } catch {
        return [];
      }
    })
    .join('|');
}
