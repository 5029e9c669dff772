import type { Paid } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, text, textOrNull } from '../row.js';
import type { Row } from '../sql.js';

/** Adds an amount for a record of which none stands. */
export function addPaid(store: Store, record: string, { id, money, what, atMs, by }: Paid): void {
  store.sql.run(
    `INSERT INTO paid (id, record, minor_units, minor_digits, currency, what, at_ms, by)
     VALUES (:id, :record, :minor, :digits, :currency, :what, :atMs, :by)`,
    { id, record, minor: money.minor, digits: money.digits, currency: money.currency, what, atMs, by },
  );
}

/** What was paid under this id, and for which record; what was taken back is found too. */
export function findPaid(store: Store, id: string): { paid: Paid; record: string; isVoided: boolean } | null {
  const row = store.sql.row('SELECT * FROM paid WHERE id = :id', { id });
  return row === null ? null : { paid: paidRow(row), record: text(row, 'record'), isVoided: row.voided_at_ms !== null };
}

/** The amount that stands for a record; null where none does. */
export function paidFor(store: Store, record: string): Paid | null {
  const row = store.sql.row('SELECT * FROM paid WHERE record = :record AND voided_at_ms IS NULL', { record });
  return row === null ? null : paidRow(row);
}

/** Whatever stands for a record no longer does. */
export function voidPaidOfRecord(store: Store, record: string, atMs: number, by: string | null): void {
  store.sql.run(
    'UPDATE paid SET voided_at_ms = :atMs, voided_by = :by WHERE record = :record AND voided_at_ms IS NULL',
    { record, atMs, by },
  );
}

/** The amounts that stand, by the record they are for. */
export function paidByRecord(store: Store, machines: readonly string[]): ReadonlyMap<string, Paid> {
  const rows = store.sql.rows(
    `SELECT paid.* FROM paid JOIN records ON records.id = paid.record
     WHERE paid.voided_at_ms IS NULL AND records.machine IN (SELECT value FROM json_each(:machines))`,
    { machines: JSON.stringify(machines) },
  );
  return new Map(rows.map((row) => [text(row, 'record'), paidRow(row)]));
}

function paidRow(row: Row): Paid {
  return {
    id: text(row, 'id'),
    money: {
      currency: text(row, 'currency'),
      minor: number(row, 'minor_units'),
      digits: number(row, 'minor_digits'),
    },
    what: textOrNull(row, 'what'),
    atMs: number(row, 'at_ms'),
    by: textOrNull(row, 'by'),
  };
}
