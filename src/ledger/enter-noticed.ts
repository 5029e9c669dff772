import type { Noticed } from '../domain/facts.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { addNoticed, answerNoticedRow, findNoticed, reopenNoticedRow, voidNoticedRow } from '../store/facts/noticed.js';
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
      if (known !== null && !known.isVoided && known.noticed.text === text) {
        return { kind: 'already' as const, noticed: known.noticed };
      }
      if (text === null) {
        throw refusal('text-empty', 'Nothing was written', { remedy: 'Write what you noticed, in a few words.' });
      }
      const nowMs = books.clock.nowMs();
      const noticed: Noticed = {
        id: store.newId('noticed'),
        atMs: nowMs,
        text,
        state: 'open',
        seenTo: null,
        helped: [],
      };
      addNoticed(store, { id: noticed.id, machine: machine.id, atMs: nowMs, text, by: entry.by });
      if (entry.key !== null) noteEntry(store, entry.key, 'noticed', noticed.id, nowMs);
      return { kind: 'entered' as const, noticed };
    }),
  );
}

/** Says that what was noticed has been seen to; it is on no bench sheet any more.
 *  @param record  of the visit that did; null where no visit did */
export function answerNoticed(
  books: Books,
  id: string,
  by: string | null,
  record: string | null = null,
): NoticedAnswer<'answered'> {
  return change(books, id, (noticed) => {
    if (noticed.state === 'answered') return 'already';
    answerNoticedRow(books.store, id, { atMs: books.clock.nowMs(), by, record });
    return 'answered';
  });
}

/** Says that it was not seen to after all: it comes on the next bench sheet again. */
export function reopenNoticed(books: Books, id: string): NoticedAnswer<'open'> {
  return change(books, id, (noticed) => {
    if (noticed.state === 'open') return 'already';
    reopenNoticedRow(books.store, id);
    return 'open';
  });
}

/** Takes back what was noticed, as if nobody had written it; twice is once. */
export function voidNoticed(books: Books, id: string, by: string | null): NoticedAnswer<'voided'> {
  return change(
    books,
    id,
    () => {
      voidNoticedRow(books.store, id, books.clock.nowMs(), by);
      return 'voided';
    },
    'already',
  );
}

type NoticedAnswer<Kind extends string> = { readonly kind: Kind | 'already' } | Refused;

/** @param ifVoided  the answer about what was taken back; absent: it is unknown */
function change<Kind extends string>(
  books: Books,
  id: string,
  act: (noticed: Noticed) => Kind | 'already',
  ifVoided?: 'already',
): NoticedAnswer<Kind> {
  return orRefused(() =>
    books.store.write(() => {
      const found = findNoticed(books.store, id);
      if (found !== null && !found.isVoided) return { kind: act(found.noticed) };
      if (found !== null && ifVoided !== undefined) return { kind: ifVoided };
      throw refusal('noticed-unknown', 'Nothing of that name was noticed', {
        found: JSON.stringify(id.slice(0, 60)),
      });
    }),
  );
}
