import type { Store } from '../open.js';

/** One field of an open bench sheet, as it was last touched. */
export interface SheetMark {
  readonly field: string;
  readonly value: string | boolean;
  /** When a person touched it, Unix ms. */
  readonly atMs: number;
}

/** Keeps a field where it was touched later than what is kept; of two touched in the same instant the one that came first stays. */
export function keepSheetMark(store: Store, visit: string, { field, value, atMs }: SheetMark): void {
  store.sql.run(
    `INSERT INTO sheet_marks (visit, field, value, at_ms) VALUES (:visit, :field, :value, :atMs)
     ON CONFLICT DO UPDATE SET value = excluded.value, at_ms = excluded.at_ms WHERE excluded.at_ms > at_ms`,
    { visit, field, value: JSON.stringify(value), atMs },
  );
}

/** The empty name, which no field has, holds when a sheet was confirmed. */
const closed = '';

/** Forgets what was touched on a sheet, because it was confirmed, and keeps when that was. */
export function closeSheet(store: Store, visit: string, atMs: number): void {
  store.sql.run('DELETE FROM sheet_marks WHERE visit = :visit', { visit });
  keepSheetMark(store, visit, { field: closed, value: true, atMs });
}

/** When a sheet was confirmed last, Unix ms; null: not within the days that marks are kept. */
export function sheetClosedAtMs(store: Store, visit: string): number | null {
  const row = store.sql.row('SELECT at_ms FROM sheet_marks WHERE visit = :visit AND field = :closed', {
    visit,
    closed,
  });
  return row === null ? null : Number(row.at_ms);
}

/** Takes what was touched, or confirmed, later than now for touched just now: a clock that ran ahead and was set right would keep
 *  every newer word out until that time has come. */
export function pullBackSheetMarks(store: Store, visit: string, nowMs: number): void {
  const ahead = store.sql.row('SELECT 1 FROM sheet_marks WHERE visit = :visit AND at_ms > :nowMs LIMIT 1', {
    visit,
    nowMs,
  });
  if (ahead === null) return;
  store.mark(() => {
    store.sql.run('UPDATE sheet_marks SET at_ms = :nowMs WHERE visit = :visit AND at_ms > :nowMs', { visit, nowMs });
  });
}

/** Forgets fields last touched before an instant, of all sheets. */
export function dropOldSheetMarks(store: Store, beforeMs: number): void {
  store.sql.run('DELETE FROM sheet_marks WHERE at_ms < :beforeMs', { beforeMs });
}

/** Every field of one sheet that was touched, by name. */
export function sheetMarksOf(store: Store, visit: string): readonly SheetMark[] {
  return store.sql
    .rows('SELECT field, value, at_ms FROM sheet_marks WHERE visit = :visit AND field <> :closed ORDER BY field', {
      visit,
      closed,
    })
    .map((row) => {
      const value: unknown = JSON.parse(String(row.value));
      return {
        field: String(row.field),
        value: typeof value === 'boolean' ? value : String(value),
        atMs: Number(row.at_ms),
      };
    });
}
