import type { Noticed } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, text } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

export function addNoticed(
  store: Store,
  noticed: { id: string; machine: string; atMs: number; text: string; by: string | null },
): void {
  store.sql.run(
    'INSERT INTO noticed (id, machine, at_ms, text, by) VALUES (:id, :machine, :atMs, :text, :by)',
    noticed,
  );
}

/** What was taken back is found too: `isVoided` says so. */
export function findNoticed(store: Store, id: string): { noticed: Noticed; isVoided: boolean } | null {
  const row = store.sql.row('SELECT * FROM noticed WHERE id = :id', { id });
  return row === null ? null : { noticed: noticedOf(row), isVoided: row.voided_at_ms !== null };
}

export function answerNoticedRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run(
    'UPDATE noticed SET answered_at_ms = :atMs, answered_by = :by WHERE id = :id AND answered_at_ms IS NULL',
    { id, atMs, by },
  );
}

/** It was not seen to after all. */
export function reopenNoticedRow(store: Store, id: string): void {
  store.sql.run('UPDATE noticed SET answered_at_ms = NULL, answered_by = NULL WHERE id = :id', { id });
}

export function voidNoticedRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE noticed SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

export function noticedBy(store: Store, machines: readonly string[]): ByMachine<Noticed> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM noticed WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, at_ms, id`,
    machines,
    noticedOf,
  );
}

function noticedOf(row: Row): Noticed {
  return {
    id: text(row, 'id'),
    atMs: number(row, 'at_ms'),
    text: text(row, 'text'),
    state: row.answered_at_ms === null ? 'open' : 'answered',
  };
}
