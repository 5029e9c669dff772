import { type Helped, type HelpedAnswer, helpedAnswers } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, text, textOrNull, word } from '../row.js';
import type { Row } from '../sql.js';

/** When, by whom and in which record something noticed was seen to. */
export interface SeenTo {
  readonly atMs: number;
  readonly by: string | null;
  readonly record: string | null;
}

/** Notes what was said of whether the work on a noticed thing helped. */
export function addHelped(
  store: Store,
  said: { id: string; noticed: string; answer: HelpedAnswer; atMs: number; by: string | null; seenTo: SeenTo },
): void {
  const { seenTo, ...rest } = said;
  store.sql.run(
    `INSERT INTO helped (id, noticed, answer, at_ms, by, seen_to_at_ms, seen_to_by, seen_to_record)
     VALUES (:id, :noticed, :answer, :atMs, :by, :seenToAtMs, :seenToBy, :seenToRecord)`,
    { ...rest, seenToAtMs: seenTo.atMs, seenToBy: seenTo.by, seenToRecord: seenTo.record },
  );
}

/** What was said, of what, and how that was seen to then; what was taken back is found too. */
export function findHelped(
  store: Store,
  id: string,
): { helped: Helped; noticed: string; seenTo: SeenTo; isVoided: boolean } | null {
  const row = store.sql.row('SELECT * FROM helped WHERE id = :id', { id });
  if (row === null) return null;
  const helped = helpedRow(row);
  return {
    helped,
    noticed: text(row, 'noticed'),
    seenTo: { atMs: helped.seenToAtMs, by: textOrNull(row, 'seen_to_by'), record: helped.record },
    isVoided: row.voided_at_ms !== null,
  };
}

/** Takes it back; what was taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidHelpedRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE helped SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

/** What a record did that is taken back helped nobody: what was said of it goes with it. */
export function voidHelpedOfRecord(store: Store, record: string, atMs: number, by: string | null): void {
  store.sql.run(
    'UPDATE helped SET voided_at_ms = :atMs, voided_by = :by WHERE seen_to_record = :record AND voided_at_ms IS NULL',
    { record, atMs, by },
  );
}

/** What stands of what was said, by what was noticed, oldest first.
 *  @param noticed  of this only; null: of all */
export function helpedOf(store: Store, noticed: string | null): ReadonlyMap<string, readonly Helped[]> {
  const rows = store.sql.rows(
    'SELECT * FROM helped WHERE voided_at_ms IS NULL AND (:noticed IS NULL OR noticed = :noticed) ORDER BY at_ms, id',
    { noticed },
  );
  const said = new Map<string, Helped[]>();
  for (const row of rows) {
    const of = text(row, 'noticed');
    said.set(of, [...(said.get(of) ?? []), helpedRow(row)]);
  }
  return said;
}

function helpedRow(row: Row): Helped {
  return {
    id: text(row, 'id'),
    answer: word(row, 'answer', helpedAnswers),
    atMs: number(row, 'at_ms'),
    by: textOrNull(row, 'by'),
    seenToAtMs: number(row, 'seen_to_at_ms'),
    record: textOrNull(row, 'seen_to_record'),
  };
}
