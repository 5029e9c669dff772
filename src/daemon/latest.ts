import { minuteMs } from '../domain/day.js';
import type { Facts } from '../domain/facts.js';
import type { Books } from '../ledger/books.js';
import { gather } from '../ledger/gather.js';
import { type FullOutlook, lookAhead } from '../outlook/look.js';
import { newMemory } from '../outlook/memory.js';

/** The last facts, kept by their version, and the last outlook, kept by facts, home and minute, so that a page view
 *  never computes twice. */
export interface Latest {
  facts(): Facts;
  look(): FullOutlook;
}

export function keepLatest(books: Books): Latest {
  const memory = newMemory();
  let gathered: { version: number; home: unknown; facts: Facts } | null = null;
  let kept: { facts: Facts; minute: number; outlook: FullOutlook } | null = null;

  const facts = () => {
    const version = books.store.dataVersion();
    const home = books.home();
    if (gathered === null || gathered.version !== version || gathered.home !== home) {
      gathered = { version, home, facts: gather(books) };
    }
    return gathered.facts;
  };
  return {
    facts,
    look() {
      const nowMs = books.clock.nowMs();
      const minute = Math.floor(nowMs / minuteMs);
      const known = facts();
      if (kept !== null && kept.facts === known && kept.minute === minute) return kept.outlook;
      const outlook = lookAhead(books.home(), known, nowMs, memory);
      kept = { facts: known, minute, outlook };
      return outlook;
    },
  };
}
