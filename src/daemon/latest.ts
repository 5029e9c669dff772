import { minuteMs } from '../domain/day.js';

import type { Books } from '../ledger/books.js';
import { gather } from '../ledger/gather.js';
import { type FullOutlook, lookAhead } from '../outlook/look.js';
import { newMemory } from '../outlook/memory.js';

/** The last outlook, kept by facts version, home and minute, so that a page view never computes twice. */
export interface Latest {
  look(): FullOutlook;
}

export function keepLatest(books: Books): Latest {
  const memory = newMemory();
  let kept: { key: string; home: unknown; outlook: FullOutlook } | null = null;
  return {
    look() {
      const nowMs = books.clock.nowMs();
      const home = books.home();
      const key = `${books.store.dataVersion()}@${Math.floor(nowMs / minuteMs)}`;
      if (kept !== null && kept.key === key && kept.home === home) return kept.outlook;
      const outlook = lookAhead(home, gather(books), nowMs, memory);
      kept = { key, home, outlook };
      return outlook;
    },
  };
}
