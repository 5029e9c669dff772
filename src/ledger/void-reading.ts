import { findReading, voidReadingRow } from '../store/facts/readings.js';
import { findToldRun, voidToldRunRow } from '../store/facts/told-runs.js';
import type { Books } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

/** Takes back a reading or a told run: it stays in the store, voided, and no longer counts. */
export function voidReading(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'voided' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const nowMs = books.clock.nowMs();
      const reading = findReading(store, id);
      const run = reading === null ? findToldRun(store, id) : null;
      const found = reading ?? run;
      if (found === null) {
        throw refusal('reading-unknown', 'No such reading was entered', { found: JSON.stringify(id.slice(0, 60)) });
      }
      if (found.isVoided) return { kind: 'already' as const };
      if (reading === null) voidToldRunRow(store, id, nowMs, by);
      else voidReadingRow(store, id, nowMs, by);
      return { kind: 'voided' as const };
    }),
  );
}
