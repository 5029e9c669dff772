import type { Door, NotUsed } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

export interface NewNotUsed extends NotUsed {
  readonly id: string;
  readonly machine: string;
  readonly door: Door;
  readonly by: string | null;
}

/** Keeps a statement that a machine was not used since an instant. */
export function addNotUsed(store: Store, told: NewNotUsed): void {
  store.sql.run(
    `INSERT INTO not_used (id, machine, since_ms, told_at_ms, door, by)
     VALUES (:id, :machine, :sinceMs, :toldAtMs, :door, :by)`,
    { ...told },
  );
}

/** Takes a statement back; one taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidNotUsedRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE not_used SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

/** Statements that stand, by the instant since which the machine stood still. */
export function notUsedOf(store: Store, machines: readonly string[]): ByMachine<NotUsed> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM not_used WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, since_ms, told_at_ms`,
    machines,
    (row: Row): NotUsed => ({ sinceMs: number(row, 'since_ms'), toldAtMs: number(row, 'told_at_ms') }),
  );
}
