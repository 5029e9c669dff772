import { answerOtherwise, asidesAnsweredBy } from '../store/facts/aside.js';
import { findReading, readingsOf } from '../store/facts/readings.js';
import type { Store } from '../store/open.js';

/** A reading was taken back: the questions that it answered are open again, unless another reading since then answers them too.
 *  Its own hours are not asked about again: whoever took them back has said that they were wrong. Inside a transaction.
 *  @param id of the reading, voided already */
export function unanswerAsides(store: Store, id: string): void {
  const taken = findReading(store, id);
  if (taken === null) return;
  const standing = (readingsOf(store, [taken.machine]).get(taken.machine) ?? []).filter((one) => one.door !== 'feed');
  for (const aside of asidesAnsweredBy(store, id)) {
    if (aside.hours === taken.reading.hours) continue;
    const other = standing.find((one) => one.atMs >= aside.atMs);
    answerOtherwise(store, aside.id, other?.id ?? null);
  }
}
