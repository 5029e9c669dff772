import { existsSync, statfsSync } from 'node:fs';
import { join } from 'node:path';
import { dayOf, minuteMs } from '../domain/day.js';
import type { PushDevice } from '../domain/push-device.js';
import { leastFreeBytes, takeLock } from '../store/lock.js';
import { type DiskRefusal, sayDiskRefusal, writeRefusalLetter } from '../words/disk.js';
import { datedCopy } from './copies.js';
import { copyWhenAsked, type Standstill, type StillCause } from './serve-still.js';
import { devicesIn } from './ways-past-data.js';
import { dataFolder } from './wire.js';

const kinds = new Map<string, DiskRefusal['kind']>([
  ['disk-full', 'full'],
  ['store-read-only', 'read-only'],
  ['store-cannot-open', 'not-allowed'],
  ['disk-error', 'refuses'],
]);
const mb = 1024 * 1024;
/** A start that failed with the lock in hand is tried again with so much more room, */
const moreBytes = mb;
/** or after so long, since something may have been mended that cannot be seen from here. */
const againMs = 10 * minuteMs;

/** Standing still because the disk of the data refuses, until it takes writing and has the room that a start wants. */
export function stillForDisk({ homeDir, home, fault, clock }: StillCause): Standstill {
  const { household } = home;
  const folder = dataFolder(homeDir);
  const copy = copyWhenAsked(homeDir, home);
  const today = () => dayOf(clock.nowMs(), household.zone);
  const said = () => {
    return sayDiskRefusal(
      {
        kind: kinds.get(fault.code) ?? 'refuses',
        folder,
        found: fault.found ?? fault.message,
        copy: datedCopy(copy(), household.zone),
        user: process.getuid?.() ?? null,
        wantsMiB: leastFreeBytes / mb,
      },
      today(),
      household.locale,
    );
  };
  const sinceMs = performance.now();
  const hadBytes = freeBytes(folder);
  const hadLock = canLock(folder);
  return {
    key: 'disk',
    code: fault.code,
    state: 'disk',
    said,
    letter: () => writeRefusalLetter(said(), household.name),
    devices: () => devicesOf(dataFile(homeDir), copy()?.file ?? null),
    copy,
    isOver() {
      if (hadLock && freeBytes(folder) < hadBytes + moreBytes && performance.now() - sinceMs < againMs) return false;
      return canLock(folder);
    },
  };
}

const dataFile = (homeDir: string) => join(dataFolder(homeDir), 'shedbell.sqlite');

/** What cannot be written can often be read; else the newest backup knows. */
function devicesOf(file: string, copy: string | null): readonly PushDevice[] {
  try {
    return devicesIn(existsSync(file) ? file : null);
  } catch {
    return devicesIn(copy);
  }
}

/** Whether the folder has room and takes what a start writes first. Writes nothing where it has not. */
function canLock(folder: string): boolean {
  try {
    takeLock(folder, { pid: process.pid }).release();
    return true;
  } catch {
    return false;
  }
}

function freeBytes(folder: string): number {
  try {
    const { bavail, bsize } = statfsSync(folder);
    return bavail * bsize;
  } catch {
    return 0;
  }
}
