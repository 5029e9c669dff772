import { statfsSync } from 'node:fs';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { minuteMs } from '../domain/day.js';
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
  /** Plain sentences; empty where all is well. */
  problems(): readonly string[];
  close(): void;
}

/** Below this a word is worth it: months of room for this service, days for a computer that fills up otherwise. */
const scarceBytes = 200 * 1024 * 1024;
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
  const database = () => {
    try {
      // Takes the lock for writing and writes nothing, so that a disk is not worn by being asked.
      store.mark(() => undefined);
      return 'ok';
    } catch {
      return 'failing';
    }
  };
  const free = () => {
    try {
      return freeBytes(folder);
    } catch {
      return null;
    }
  };
  const vitals = (): Vitals => ({
    database: database(),
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
      const { database: state, loopLagMs, ticks } = vitals();
      return state === 'ok' && ticks && loopLagMs < stuckMs;
    },
    problems() {
      const { database: state, freeBytes: room } = vitals();
      return [
        ...(state === 'ok'
          ? []
          : ['Nothing can be written down: the data file refuses. Is the disk full or read-only?']),
        ...(room === null || room >= scarceBytes
          ? []
          : [`The disk of the data is nearly full: ${Math.floor(room / 1024 / 1024)} MiB are left. Make room.`]),
      ];
    },
    close: () => delay.disable(),
  };
}

function freeBytesOn(folder: string): number {
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}
