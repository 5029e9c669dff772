import type { Store } from '../open.js';
import { text, word } from '../row.js';

const kinds = ['reading', 'aside', 'told-run', 'record', 'noticed', 'stock', 'answer', 'not-used', 'paid'] as const;
export type EntryKind = (typeof kinds)[number];

/** What an entry under this key became; null where the key is new. */
export function findEntry(store: Store, key: string): { kind: EntryKind; fact: string } | null {
  const row = store.sql.row('SELECT kind, fact FROM entries WHERE key = :key', { key });
  return row === null ? null : { kind: word(row, 'kind', kinds), fact: text(row, 'fact') };
}

/** Remembers what an entry became; later the same key stands for the newest, such as the reading that a confirmed aside became. */
export function noteEntry(store: Store, key: string, kind: EntryKind, fact: string, atMs: number): void {
  store.sql.run(
    `INSERT INTO entries (key, kind, fact, at_ms) VALUES (:key, :kind, :fact, :atMs)
     ON CONFLICT (key) DO UPDATE SET kind = excluded.kind, fact = excluded.fact`,
    { key, kind, fact, atMs },
  );
}
