import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { dataFolder } from '../daemon/wire.js';
import { Fault } from '../domain/fault.js';
import type { Witness } from '../home/check-witness.js';
import { newestWritten } from '../store/facts/newest.js';
import { readingsOf } from '../store/facts/readings.js';
import { openStore, type Store } from '../store/open.js';

/** Runs `work` with the clock and what was written down in the home's data, where there are any. The clock is then no earlier
 *  than the newest of it: a small computer without a battery clock boots in the past.
 *  @param work  is told the fault, where the facts cannot be read */
export function withFacts<T>(dir: string, clock: Witness, work: (witness: Witness, fault: Fault | null) => T): T {
  const file = join(dataFolder(dir), 'shedbell.sqlite');
  if (!existsSync(file)) return work(clock, null);
  const store = openOrFault(file);
  if (store instanceof Fault) return work(clock, store);
  try {
    return work(factsWitness(store, clock), null);
  } finally {
    store.close();
  }
}

function factsWitness(store: Store, clock: Witness): Witness {
  const newestMs = newestWritten(store);
  return {
    readings: (machine) => readingsOf(store, [machine]).get(machine) ?? [],
    nowMs: (zone) => {
      const nowMs = clock.nowMs(zone);
      return nowMs === null || newestMs === null ? (nowMs ?? newestMs) : Math.max(nowMs, newestMs);
    },
  };
}

function openOrFault(file: string): Store | Fault {
  try {
    return openStore(file);
  } catch (cause) {
    if (cause instanceof Fault) return cause;
    throw cause;
  }
}
