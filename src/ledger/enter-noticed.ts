import type { Noticed } from '../domain/facts.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { addNoticed, answerNoticedRow, findNoticed } from '../store/facts/noticed.js';
import { type Books, machineCalled } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';
import { plainText } from './plain-text.js';

/** Enters what a person saw between visits; it comes on the next bench sheet. */
export function enterNoticed(
  books: Books,
  entry: { readonly machine: string; readonly text: string; readonly by: string | null; readonly key: string | null },
): { readonly kind: 'entered' | 'already'; readonly noticed: Noticed } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const machine = machineCalled(books, entry.machine);
      const before = entry.key === null ? null : findEntry(store, entry.key);
      const known = before?.kind === 'noticed' ? findNoticed(store, before.fact) : null;
      const text = plainText(entry.text);
      if (known !== null && known.text === text) return { kind: 'already' as const, noticed: known };
      if (text === null) {
        throw refusal('text-empty', 'Nothing was written', { remedy: 'Write what you noticed, in a few words.' });
      }
      const nowMs = books.clock.nowMs();
      const noticed: Noticed = { id: store.newId('noticed'), atMs: nowMs, text, state: 'open' };
      addNoticed(store, { id: noticed.id, machine: machine.id, atMs: nowMs, text, by: entry.by });
      if (entry.key !== null) noteEntry(store, entry.key, 'noticed', noticed.id, nowMs);
      return { kind: 'entered' as const, noticed };
    }),
  );
}

/** Says that what was noticed has been seen to. */
export function answerNoticed(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'answered' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const noticed = findNoticed(store, id);
      if (noticed === null) {
        throw refusal('noticed-unknown', 'Nothing of that name was noticed', {
          found: JSON.stringify(id.slice(0, 60)),
        });
      }
      if (noticed.state === 'answered') return { kind: 'already' as const };
      answerNoticedRow(store, id, books.clock.nowMs(), by);
      return { kind: 'answered' as const };
    }),
  );
}
