import type { ServiceRecord } from '../domain/facts.js';
import { voidHelpedOfRecord } from '../store/facts/helped.js';
import { reopenNoticedOfRecord } from '../store/facts/noticed.js';
import { voidPaidOfRecord } from '../store/facts/paid.js';
import { findReading, voidReadingRow } from '../store/facts/readings.js';
import { findRecord, recordsOf, voidRecordRow } from '../store/facts/records.js';
import { voidStockMoves } from '../store/facts/stock.js';
import type { Store } from '../store/open.js';
import type { Books } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';
import { unanswerAsides } from './unanswer-asides.js';

/** Takes back a record: it stays in the logbook's store, voided. Its visit is open again, the reading that came with it
 *  no longer counts unless another record tells of it too, what it used is in stock again, and what it saw to is open again, without
 *  what was said of its help; what was paid for it is in no sum any more. */
export function voidRecord(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'voided' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const stored = findRecord(store, id);
      if (stored === null) {
        throw refusal('record-unknown', 'There is no such record', { found: JSON.stringify(id.slice(0, 60)) });
      }
      if (stored.isVoided) return { kind: 'already' as const };
      const nowMs = books.clock.nowMs();
      voidRecordRow(store, id, nowMs, by);
      if (stored.reading !== null && !isReadElsewhere(store, stored.record, stored.reading)) {
        voidReadingRow(store, stored.reading, nowMs, by);
        unanswerAsides(store, stored.reading);
      }
      voidStockMoves(store, id, nowMs);
      reopenNoticedOfRecord(store, id);
      voidHelpedOfRecord(store, id, nowMs, by);
      voidPaidOfRecord(store, id, nowMs, by);
      return { kind: 'voided' as const };
    }),
  );
}

/** Whether another record that stands was told with the same hours on the same day: the meter was seen then. */
function isReadElsewhere(store: Store, taken: ServiceRecord, reading: string): boolean {
  const hours = findReading(store, reading)?.reading.hours;
  const others = recordsOf(store, [taken.machine]).get(taken.machine) ?? [];
  return others.some((r) => r.id !== taken.id && r.day === taken.day && r.hoursKnown === 'read' && r.hours === hours);
}
