import type { HoursEntry } from '../domain/facts.js';
import { findHoursEntry } from '../store/facts/hours-entries.js';
import { voidNotUsedRow } from '../store/facts/not-used.js';
import { voidReadingRow } from '../store/facts/readings.js';
import { voidToldRunRow } from '../store/facts/told-runs.js';
import type { Books } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';
import { unanswerAsides } from './unanswer-asides.js';

/** Takes back a reading, a told run or "not used": it stays in the store, voided, and no longer counts; questions
 *  that it answered are open again. A reading that came
 *  with a record is the record's: alone it would leave its hours standing there. */
export function voidReading(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'voided' | 'already'; readonly entry: HoursEntry } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const nowMs = books.clock.nowMs();
      const entry = findHoursEntry(store, id);
      if (entry === null) {
        throw refusal('reading-unknown', 'No such reading was entered', { found: JSON.stringify(id.slice(0, 60)) });
      }
      if (entry.takenBackAtMs !== null) return { kind: 'already' as const, entry };
      if (entry.kind === 'reading' && entry.record !== null) {
        throw refusal('reading-of-record', `This reading was written down with ${entry.record}`, {
          found: id,
          remedy: `Take ${entry.record} back, which takes the reading with it; then write the work down anew.`,
        });
      }
      if (entry.kind === 'reading') {
        voidReadingRow(store, id, nowMs, by);
        unanswerAsides(store, id);
      } else if (entry.kind === 'run') voidToldRunRow(store, id, nowMs, by);
      else voidNotUsedRow(store, id, nowMs, by);
      return { kind: 'voided' as const, entry: { ...entry, takenBackAtMs: nowMs } };
    }),
  );
}
