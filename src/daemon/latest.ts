import { minuteMs } from '../domain/day.js';
import type { Facts } from '../domain/facts.js';
import type { Ill } from '../domain/ill.js';
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

/** @param ills  what is wrong with the service now; another list is another outlook */
export function keepLatest(books: Books, ills: () => readonly Ill[] = () => []): Latest {
  const memory = newMemory();
  let gathered: { version: number; home: unknown; facts: Facts } | null = null;
  let kept: { facts: Facts; minute: number; ills: readonly Ill[]; outlook: FullOutlook } | null = null;

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
      const wrong = ills();
      if (kept !== null && kept.facts === known && kept.minute === minute && kept.ills === wrong) return kept.outlook;
      const outlook = lookAhead(books.home(), known, nowMs, memory, wrong);
      kept = { facts: known, minute, ills: wrong, outlook };
      return outlook;
    },
  };
}
