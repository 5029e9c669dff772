import type { Ill } from '../domain/ill.js';

/** What is wrong at one moment, by its key. */
export type Symptom = Pick<Ill, 'key' | 'sentence'>;

/** Remembers since when each trouble is there. A start forgets it: what is still wrong then counts from the start on.
 *  @returns the same list while nothing came, went or reads otherwise */
export function rememberIlls(): (now: readonly Symptom[], nowMs: number) => readonly Ill[] {
  let known: readonly Ill[] = [];
  return (now, nowMs) => {
    const next = now
      .filter(({ key }, index) => now.findIndex((other) => other.key === key) === index)
      .map(({ key, sentence }) => ({
        key,
        sentence,
        sinceMs: known.find((ill) => ill.key === key)?.sinceMs ?? nowMs,
      }));
    const isSame =
      next.length === known.length &&
      next.every((ill, i) => ill.key === known[i]?.key && ill.sentence === known[i]?.sentence);
    if (!isSame) known = next;
    return known;
  };
}
