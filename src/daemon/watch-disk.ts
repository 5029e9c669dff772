import { dayMs, hourMs } from '../domain/day.js';
import type { Log } from '../domain/outside.js';
import type { Books } from '../ledger/books.js';
import { pushDevices } from '../ledger/push-devices.js';
import { writeDiskLetter } from '../words/disk.js';
import { tellPastData } from './tell-past-data.js';

/** Tells that nothing can be written down, by ways that need no writing: the outbox could not take the notice. */
export interface DiskWatch {
  /** @param why  a sentence; null where all can be written */
  look(why: string | null): Promise<void>;
}

/** Somebody who is making room, or a computer that is shutting down, is not worth a word. Common practice, no source. */
const fromMs = hourMs / 6;

/** Tells people when nothing could be written for ten minutes, past the data file, which could not note it; once a day at most.
 *  @param homeDir  keeps a mark of what was told, where it can */
export function watchDisk(books: Books, homeDir: string, log: Log): DiskWatch {
  const teller = tellPastData('disk', {
    homeDir,
    household: () => books.home().household,
    // What cannot be written can be read.
    devices: () => pushDevices(books),
    clock: books.clock,
    log,
  });
  let sinceMs: number | null = null;
  // A start before this one may have told of it.
  let toldMs = teller.sinceMs();
  return {
    async look(why) {
      const nowMs = books.clock.nowMs();
      if (why === null) {
        sinceMs = null;
        // A disk that comes and goes is told of once a day at most.
        if (toldMs !== null && nowMs - toldMs >= dayMs) {
          toldMs = null;
          teller.over();
        }
        return;
      }
      sinceMs ??= nowMs;
      if (nowMs - sinceMs < fromMs) return;
      toldMs ??= nowMs;
      await teller.tell(writeDiskLetter(why, books.home().household.name));
    },
  };
}
