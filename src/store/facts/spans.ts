import type { Span } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

/** The two kinds of span share their shape, and how a growing one stays one row. */
export type SpanTable = 'runs' | 'coverage';

/** Unites a span with those that it overlaps or touches: the same span twice, or one inside another, changes nothing. */
export function uniteSpan(store: Store, table: SpanTable, machine: string, span: Span): void {
  const touching = store.sql
    .rows(
      `SELECT from_ms, to_ms FROM ${table} WHERE machine = :machine AND from_ms <= :toMs AND to_ms >= :fromMs ORDER BY from_ms`,
      { machine, fromMs: span.fromMs, toMs: span.toMs },
    )
    .map(spanOf);
  const fromMs = Math.min(span.fromMs, ...touching.map((s) => s.fromMs));
  const toMs = Math.max(span.toMs, ...touching.map((s) => s.toMs));
  const [first] = touching;
  if (touching.length === 1 && first?.fromMs === fromMs && first.toMs === toMs) return;
  if (touching.length > 0) {
    store.sql.run(`DELETE FROM ${table} WHERE machine = :machine AND from_ms <= :toMs AND to_ms >= :fromMs`, {
      machine,
      fromMs: span.fromMs,
      toMs: span.toMs,
    });
  }
  store.sql.run(`INSERT INTO ${table} (machine, from_ms, to_ms) VALUES (:machine, :fromMs, :toMs)`, {
    machine,
    fromMs,
    toMs,
  });
}

/** Spans of a table, oldest first, no two of a machine overlapping. */
export function spansOf(store: Store, table: SpanTable, machines: readonly string[]): ByMachine<Span> {
  return rowsByMachine(
    store.sql,
    `SELECT machine, from_ms, to_ms FROM ${table} WHERE ${ofMachines} ORDER BY machine, from_ms`,
    machines,
    spanOf,
  );
}

function spanOf(row: Row): Span {
  return { fromMs: number(row, 'from_ms'), toMs: number(row, 'to_ms') };
}
