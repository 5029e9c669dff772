import type { Store } from '../open.js';
import { number } from '../row.js';

/** When anything was last written down, by this program's own clock, Unix milliseconds; null while nothing was.
 *  Instants that people or sensors told are left out: those may lie anywhere. */
export function newestWritten(store: Store): number | null {
  const row = store.sql.row(
    `SELECT max(at_ms) AS at_ms FROM (
       SELECT max(entered_at_ms) AS at_ms FROM readings
       UNION ALL SELECT max(entered_at_ms) FROM records
       UNION ALL SELECT max(entered_at_ms) FROM told_runs
       UNION ALL SELECT max(at_ms) FROM notices
       UNION ALL SELECT max(at_ms) FROM attempts
     )`,
  );
  return row === null || row.at_ms === null ? null : number(row, 'at_ms');
}
