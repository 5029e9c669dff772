import type { Store } from '../open.js';
import { text } from '../row.js';

/** Keeps the last refused messages of a machine's feed in place of those kept before; the shape of the text is the feed's own. */
export function setFeedRefusals(store: Store, machine: string, kept: string): void {
  store.sql.run(
    `INSERT INTO feed_refusals (machine, kept) VALUES (:machine, :kept)
     ON CONFLICT (machine) DO UPDATE SET kept = excluded.kept`,
    { machine, kept },
  );
}

/** What was kept last; null where nothing was. */
export function feedRefusalsOf(store: Store, machine: string): string | null {
  const row = store.sql.row('SELECT kept FROM feed_refusals WHERE machine = :machine', { machine });
  return row === null ? null : text(row, 'kept');
}
