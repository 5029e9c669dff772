import type { Store } from '../open.js';
import { number, text } from '../row.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

export interface StockMove {
  readonly machine: string;
  /** Lower case. */
  readonly name: string;
  /** Pieces, litres or kilograms; negative when used. */
  readonly change: number;
  readonly atMs: number;
  readonly record: string | null;
  readonly by: string | null;
}

/** Keeps a change of the stock. */
export function addStockMove(store: Store, move: StockMove): void {
  store.sql.run(
    `INSERT INTO stock_moves (machine, name, change, at_ms, record, by)
     VALUES (:machine, :name, :change, :atMs, :record, :by)`,
    { ...move },
  );
}

/** What a voided record had used is there again. */
export function voidStockMoves(store: Store, record: string, atMs: number): void {
  store.sql.run('UPDATE stock_moves SET voided_at_ms = :atMs WHERE record = :record AND voided_at_ms IS NULL', {
    record,
    atMs,
  });
}

/** What is at home by name; names whose stock is used up stand with 0. */
export function stockOf(store: Store, machines: readonly string[]): ByMachine<{ name: string; amount: number }> {
  return rowsByMachine(
    store.sql,
    `SELECT machine, name, max(0, round(sum(change), 6)) AS amount FROM stock_moves
     WHERE ${ofMachines} AND voided_at_ms IS NULL GROUP BY machine, name ORDER BY machine, name`,
    machines,
    (row) => ({ name: text(row, 'name'), amount: number(row, 'amount') }),
  );
}
