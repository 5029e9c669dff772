import type { Store } from '../open.js';
import { number, text } from '../row.js';

/** How many standing readings, told runs and records each machine of the books has, by its id. */
export function entriesByMachine(store: Store): ReadonlyMap<string, number> {
  const rows = store.sql.rows(
    `SELECT machine, sum(n) AS n FROM (
       SELECT machine, count(*) AS n FROM readings WHERE voided_at_ms IS NULL GROUP BY machine
       UNION ALL SELECT machine, count(*) FROM told_runs WHERE voided_at_ms IS NULL GROUP BY machine
       UNION ALL SELECT machine, count(*) FROM records WHERE voided_at_ms IS NULL GROUP BY machine
     ) GROUP BY machine ORDER BY machine`,
  );
  return new Map(rows.map((row) => [text(row, 'machine'), number(row, 'n')]));
}

/** Ids of all machines with something entered or counted (readings, runs, records, answers, notes, stock), what was voided included. */
export function machinesInBooks(store: Store): readonly string[] {
  const tables = [
    'readings',
    'aside',
    'told_runs',
    'not_used',
    'runs',
    'coverage',
    'records',
    'answers',
    'noticed',
    'stock_moves',
  ];
  const each = tables.map((table) => `SELECT machine FROM ${table}`).join(' UNION ');
  return store.sql.rows(`${each} ORDER BY machine`).map((row) => text(row, 'machine'));
}
