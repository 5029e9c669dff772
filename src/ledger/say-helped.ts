import type { HelpedAnswer } from '../domain/facts.js';
import { addHelped, findHelped, voidHelpedRow } from '../store/facts/helped.js';
import { answerNoticedRow, findNoticed, machineOfNoticed, reopenNoticedRow, seenToOf } from '../store/facts/noticed.js';
import { findRecord } from '../store/facts/records.js';
import type { Books } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

/** Says whether it helped that something noticed was seen to. A "no" opens it again, so that it comes on the next bench sheet;
 *  the same said again is one answer, and another answer takes the place of the one before. */
export function sayHelped(
  books: Books,
  noticed: string,
  answer: HelpedAnswer,
  by: string | null,
): { readonly kind: 'said' | 'already'; readonly id: string } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const found = findNoticed(store, noticed);
      if (found === null || found.isVoided) throw unknown('Nothing of that name was noticed', noticed);
      const last = found.noticed.helped.at(-1);
      const seenTo = seenToOf(store, noticed);
      if (seenTo === null) {
        // The second tap of a "no" finds it open already.
        if (last !== undefined && last.answer === answer) return { kind: 'already' as const, id: last.id };
        throw refusal('not-seen-to', 'This was not seen to yet, so nobody can say whether it helped', {
          found: noticed,
          remedy: 'Say first that it is seen to.',
        });
      }
      const nowMs = books.clock.nowMs();
      const before = last?.seenToAtMs === seenTo.atMs ? last : null;
      if (before?.answer === answer) return { kind: 'already' as const, id: before.id };
      if (before !== null) voidHelpedRow(store, before.id, nowMs, by);
      const id = store.newId('helped');
      addHelped(store, { id, noticed, answer, atMs: nowMs, by, seenTo });
      if (answer === 'no') reopenNoticedRow(store, noticed);
      return { kind: 'said' as const, id };
    }),
  );
}

/** Takes back what was said of its help: the question is open again, and what a "no" had opened counts as seen to as before,
 *  unless the record that saw to it was taken back meanwhile. Twice is once.
 *  @param machine  the one on whose page it is taken back; null: any */
export function voidHelped(
  books: Books,
  id: string,
  by: string | null,
  machine: string | null = null,
): { readonly kind: 'voided' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const found = findHelped(store, id);
      if (found === null || (machine !== null && machineOfNoticed(store, found.noticed) !== machine)) {
        throw unknown('Nothing of that name was said', id);
      }
      if (found.isVoided) return { kind: 'already' as const };
      voidHelpedRow(store, id, books.clock.nowMs(), by);
      const { record } = found.seenTo;
      const stands = record === null || findRecord(store, record)?.isVoided === false;
      if (found.helped.answer === 'no' && stands) answerNoticedRow(store, found.noticed, found.seenTo);
      return { kind: 'voided' as const };
    }),
  );
}

/** What was said under this id, and of what; whether it was taken back. Null where it is not of this machine. */
export function helpedSaid(
  books: Books,
  id: string,
  machine: string,
): { readonly answer: HelpedAnswer; readonly text: string; readonly isTakenBack: boolean } | null {
  const found = findHelped(books.store, id);
  if (found === null || machineOfNoticed(books.store, found.noticed) !== machine) return null;
  const text = findNoticed(books.store, found.noticed)?.noticed.text ?? '';
  return { answer: found.helped.answer, text, isTakenBack: found.isVoided };
}

function unknown(message: string, id: string) {
  return refusal('noticed-unknown', message, { found: JSON.stringify(id.slice(0, 60)) });
}
