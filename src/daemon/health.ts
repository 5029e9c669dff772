import { accessSync, closeSync, constants, fsyncSync, openSync, rmSync, statfsSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { minuteMs } from '../domain/day.js';
import { isDiskRefusal } from '../store/errors.js';
import type { Store } from '../store/open.js';

/** What a supervisor and the pages hear of the service's own body. */
interface Vitals {
  /** Whether a transaction that writes can be begun and ended. */
  readonly database: 'ok' | 'failing';
  /** Longest wait of the event loop since the look before, milliseconds. */
  readonly loopLagMs: number;
  /** Whether the ticker came within the last three minutes. */
  readonly ticks: boolean;
  /** Room on the disk of the data, bytes; null where it cannot be told. */
  readonly freeBytes: number | null;
}

export interface Health {
  /** The ticker was here. */
  tick(): void;
  vitals(): Vitals;
  /** Whether a watchdog may be told that all is well. */
  isWell(): boolean;
  /** Takes note of what was thrown elsewhere: where the disk refused, it is tried with a file until it takes one again. */
  met(failure: unknown): void;
  /** Why nothing can be written down, in a sentence; null where it can. */
  cannotWrite(): string | null;
  /** Plain sentences; empty where all is well. */
  problems(): readonly string[];
  close(): void;
}

/** Below this a word is worth it: months of room for this service, days for a computer that fills up otherwise. */
const scarceBytes = 200 * 1024 * 1024;
/** With less than this, the next entry may fail. */
const noRoomBytes = 64 * 1024;

const sentences = {
  full: 'Nothing can be written down: the disk of the data is full. Make room; what is entered meanwhile is refused, and nothing that was on record is lost.',
  'read-only':
    'Nothing can be written down: the disk of the data has become read-only, which is how many disks and memory cards begin to fail. Copy the newest backup elsewhere, then start the computer anew or replace the disk.',
  refuses: 'Nothing can be written down: the data file refuses. Is the disk full or read-only?',
} as const;

/** The ticker comes every minute. */
const silentTicksMs = 3 * minuteMs;
/** A loop that stood for this long is stuck, whatever a small computer was doing. */
const stuckMs = 30_000;

/** Feels the pulse of a running service.
 *  @param monotonicMs runs forward whatever the wall clock does
 *  @param freeBytes   room on the disk of a folder; handed in by tests */
export function feelPulse(
  store: Store,
  folder: string,
  monotonicMs: () => number,
  freeBytes: (folder: string) => number = freeBytesOn,
): Health {
  const delay = monitorEventLoopDelay({ resolution: 50 });
  delay.enable();
  let tickedMs = monotonicMs();
  const refuses = () => {
    try {
      // Takes the lock for writing and writes nothing, so that a disk is not worn by being asked.
      store.mark(() => undefined);
      return false;
    } catch {
      return true;
    }
  };
  const free = () => {
    try {
      return freeBytes(folder);
    } catch {
      return null;
    }
  };
  // A transaction that writes nothing succeeds on a disk that takes nothing, so the disk is asked as well.
  let isSuspect = false;
  const why = (): 'full' | 'read-only' | 'refuses' | null => {
    if (isReadOnly(folder)) return 'read-only';
    if (isSuspect) {
      const cause = tryFile(folder);
      if (cause !== null) return cause;
      isSuspect = false;
    }
    if ((free() ?? Number.POSITIVE_INFINITY) < noRoomBytes) return 'full';
    return refuses() ? 'refuses' : null;
  };
  const vitals = (): Vitals => ({
    database: why() === null ? 'ok' : 'failing',
    loopLagMs: Math.round(delay.max / 1e6) || 0,
    ticks: monotonicMs() - tickedMs < silentTicksMs,
    freeBytes: free(),
  });
  return {
    tick() {
      tickedMs = monotonicMs();
      delay.reset();
    },
    vitals,
    isWell() {
      // A disk that is full or read-only is not mended by a new start, which could only fail in silence.
      return !refuses() && monotonicMs() - tickedMs < silentTicksMs && delay.max / 1e6 < stuckMs;
    },
    met(failure) {
      if (isDiskRefusal(failure)) isSuspect = true;
    },
    cannotWrite() {
      const cause = why();
      return cause === null ? null : sentences[cause];
    },
    problems() {
      const cause = why();
      const room = free();
      return [
        ...(cause === null ? [] : [sentences[cause]]),
        ...(room === null || room >= scarceBytes || cause === 'full'
          ? []
          : [`The disk of the data is nearly full: ${Math.floor(room / 1024 / 1024)} MiB are left. Make room.`]),
      ];
    },
    close: () => delay.disable(),
  };
}

/** Whether the file system takes no writing at all; asking writes nothing. Source: access(2), EROFS. */
function isReadOnly(folder: string): boolean {
  try {
    accessSync(folder, constants.W_OK);
    return false;
  } catch (failure) {
    return failure instanceof Error && 'code' in failure && failure.code === 'EROFS';
  }
}

/** Writes a page to a file of its own: a kernel that stopped a failing disk may still say that it can be written. */
function tryFile(folder: string): 'full' | 'read-only' | 'refuses' | null {
  const file = join(folder, 'writing.probe');
  try {
    const handle = openSync(file, 'w', 0o600);
    try {
      writeSync(handle, Buffer.alloc(4096));
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    return null;
  } catch (failure) {
    const code = failure instanceof Error && 'code' in failure ? failure.code : null;
    return code === 'EROFS' ? 'read-only' : code === 'ENOSPC' || code === 'EDQUOT' ? 'full' : 'refuses';
  } finally {
    try {
      rmSync(file, { force: true });
    } catch {
      // It stays empty or not there.
    }
  }
}

function freeBytesOn(folder: string): number {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}
