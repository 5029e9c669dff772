import type { GivenAnswer } from '../domain/facts.js';
import { findAnswer, voidAnswerRow } from '../store/facts/answers.js';
import type { Books } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';

/** Takes back an answer: things stand as if it had not been given, and the same may be answered again. */
export function voidAnswer(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'voided' | 'already'; readonly given: GivenAnswer } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const given = findAnswer(store, id);
      if (given === null) {
        throw refusal('answer-unknown', 'No such answer was given', { found: JSON.stringify(id.slice(0, 60)) });
      }
      if (given.takenBackAtMs !== null) return { kind: 'already' as const, given };
      const nowMs = books.clock.nowMs();
      voidAnswerRow(store, id, nowMs, by);
      return { kind: 'voided' as const, given: { ...given, takenBackAtMs: nowMs } };
    }),
  );
}
