import { readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** Which letters about one trouble are out, kept in a small file beside the data: where the data cannot be used, a restart must not
 *  tell everybody anew. */
interface Told {
  readonly sinceMs: number;
  /** Letter and way, such as `data-file-ada-0 mail`. */
  readonly letters: readonly string[];
}

export interface ToldMarker {
  /** Since when the trouble is known; now where it is new. */
  sinceMs(nowMs: number): number;
  /** The same, null where no trouble is known. */
  knownSinceMs(): number | null;
  has(letter: string): boolean;
  add(letter: string, nowMs: number): void;
  /** The trouble is over. */
  clear(): void;
}

/** What could not be written beside the data, by the file it would stand in. */
const unwritten = new Map<string, Told>();

/** The marker of one trouble. Where the disk takes no file, it is remembered until the process ends.
 *  @param folder  of the data
 *  @param key     names the trouble: `data-file`, `disk` */
export function toldMarker(folder: string, key: string): ToldMarker {
  const file = join(folder, `told-${key}.json`);
  let told = unwritten.get(file) ?? readTold(file);
  const keep = (next: Told) => {
    told = next;
    try {
      writeFileSync(`${file}.part`, JSON.stringify(next), { mode: 0o600 });
      renameSync(`${file}.part`, file);
      unwritten.delete(file);
    } catch {
      // A disk that takes nothing is part of what is told.
      unwritten.set(file, next);
    }
  };
  return {
    sinceMs(nowMs) {
      if (told === null) keep({ sinceMs: nowMs, letters: [] });
      return told?.sinceMs ?? nowMs;
    },
    knownSinceMs: () => told?.sinceMs ?? null,
    has: (letter) => told?.letters.includes(letter) ?? false,
    add: (letter, nowMs) => keep({ sinceMs: told?.sinceMs ?? nowMs, letters: [...(told?.letters ?? []), letter] }),
    clear() {
      told = null;
      unwritten.delete(file);
      try {
        rmSync(file, { force: true });
      } catch {
        // Looked for again at the next start.
      }
    },
  };
}

/** What cannot be read counts as nothing told: telling twice is better than never. */
function readTold(file: string): Told | null {
  try {
    const read: unknown = JSON.parse(readFileSync(file, 'utf8'));
    if (typeof read !== 'object' || read === null || !('sinceMs' in read) || !('letters' in read)) return null;
    const { sinceMs, letters } = read;
    if (typeof sinceMs !== 'number' || !Array.isArray(letters)) return null;
    return { sinceMs, letters: letters.filter((one) => typeof one === 'string') };
  } catch {
    return null;
  }
}
