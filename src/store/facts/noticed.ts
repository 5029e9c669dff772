import type { Helped, Noticed } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, numberOrNull, text, textOrNull } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';
import { helpedOf, type SeenTo } from './helped.js';

/** Keeps what a person noticed at a machine, in their words. */
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
  return row === null
    ? null
    : { noticed: noticedOf(row, helpedOf(store, id).get(id) ?? []), isVoided: row.voided_at_ms !== null };
}

/** Notes what saw to a noticed thing; one seen to before stays as it was. */
export function answerNoticedRow(store: Store, id: string, { atMs, by, record }: SeenTo): void {
  store.sql.run(
    `UPDATE noticed SET answered_at_ms = :atMs, answered_by = :by, answered_record = :record
     WHERE id = :id AND answered_at_ms IS NULL`,
    { id, atMs, by, record },
  );
}

/** It was not seen to after all, or seeing to it did not help. */
export function reopenNoticedRow(store: Store, id: string): void {
  store.sql.run('UPDATE noticed SET answered_at_ms = NULL, answered_by = NULL, answered_record = NULL WHERE id = :id', {
    id,
  });
}

/** What a record that is taken back saw to is open again. */
export function reopenNoticedOfRecord(store: Store, record: string): void {
  store.sql.run(
    `UPDATE noticed SET answered_at_ms = NULL, answered_by = NULL, answered_record = NULL
     WHERE answered_record = :record`,
    { record },
  );
}

/** How something noticed was seen to; null while it is open or where it is not known. */
export function seenToOf(store: Store, id: string): SeenTo | null {
  const row = store.sql.row('SELECT * FROM noticed WHERE id = :id AND answered_at_ms IS NOT NULL', { id });
  if (row === null) return null;
  return {
    atMs: number(row, 'answered_at_ms'),
    by: textOrNull(row, 'answered_by'),
    record: textOrNull(row, 'answered_record'),
  };
}

/** The machine at which it was noticed; null where there is none of that id. */
export function machineOfNoticed(store: Store, id: string): string | null {
  const row = store.sql.row('SELECT machine FROM noticed WHERE id = :id', { id });
  return row === null ? null : text(row, 'machine');
}

/** Takes it back; what was taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidNoticedRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE noticed SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

/** What was noticed and stands, oldest first, with what was said of whether the work helped. */
export function noticedBy(store: Store, machines: readonly string[]): ByMachine<Noticed> {
  const helped = helpedOf(store, null);
  return rowsByMachine(
    store.sql,
    `SELECT * FROM noticed WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, at_ms, id`,
    machines,
    (row) => noticedOf(row, helped.get(text(row, 'id')) ?? []),
  );
}

function noticedOf(row: Row, helped: readonly Helped[]): Noticed {
  const seenToAtMs = numberOrNull(row, 'answered_at_ms');
  return {
    id: text(row, 'id'),
    atMs: number(row, 'at_ms'),
    text: text(row, 'text'),
    state: seenToAtMs === null ? 'open' : 'answered',
    seenTo: seenToAtMs === null ? null : { atMs: seenToAtMs, record: textOrNull(row, 'answered_record') },
    helped,
  };
}
