import { dayMs } from '../domain/day.js';
import { endUnsent, refusedLetters } from '../store/facts/outbox.js';
import type { Books } from './books.js';

/** What was refused counts as said for so long, as long as a letter that gets no answer is tried: who is called to work anew then
 *  has the next weekend before them. Common practice, no source. */
const firstWaitMs = 5 * dayMs;
/** An address that takes nothing is not written to more often than every forty days in the end. Common practice, no source. */
const mostDoublings = 3;

/** Lets what refused letters said count as not said, so that the next look says anew what still holds: after five days, after twice as
 *  long each time where the same person's letters are refused one after another, and at once where a later letter to that person went
 *  out by the same way. A server that refuses a letter for good speaks of that letter or that address, and both can be mended.
 *  @returns how many letters count as not said from now on */
export function sayRefusedAnew(books: Books): number {
  const { store } = books;
  const nowMs = books.clock.nowMs();
  const over = () =>
    refusedLetters(store).filter(
      ({ writtenAtMs, inARow, isOpenAgain }) =>
        // A letter of a clock that ran ahead lies in the future.
        isOpenAgain ||
        Math.abs(nowMs - writtenAtMs) >= firstWaitMs * 2 ** Math.min(Math.max(0, inARow - 1), mostDoublings),
    );
  if (over().length === 0) return 0;
  return store.write(() => {
    const letters = over();
    for (const { id, lastWord } of letters) endUnsent(store, id, 'given-up', lastWord ?? 'it was refused');
    return letters.length;
  });
}
