import type { Store } from '../open.js';
import { number, textOrNull, word } from '../row.js';

const outcomes = ['delivered', 'refused', 'try-later', 'crashed'] as const;

export interface Attempt {
  readonly atMs: number;
  readonly outcome: (typeof outcomes)[number];
  readonly detail: string | null;
}

/** Notes a try to send a letter, numbered from 1 on for each letter. */
export function addAttempt(store: Store, letter: string, attempt: Attempt): void {
  store.sql.run(
    `INSERT INTO attempts (letter, number, at_ms, outcome, detail)
     VALUES (:letter, (SELECT count(*) + 1 FROM attempts WHERE letter = :letter), :atMs, :outcome, :detail)`,
    { letter, ...attempt },
  );
}

/** Every attempt at one letter, in order. */
export function attemptsAt(store: Store, letter: string): readonly Attempt[] {
  return store.sql.rows('SELECT * FROM attempts WHERE letter = :letter ORDER BY number', { letter }).map((row) => ({
    atMs: number(row, 'at_ms'),
    outcome: word(row, 'outcome', outcomes),
    detail: textOrNull(row, 'detail'),
  }));
}
