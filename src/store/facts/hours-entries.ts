import type { HoursEntry } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, numberOrNull, text, textOrNull, word } from '../row.js';
import type { Row } from '../sql.js';
import { doors } from './doors.js';

/** Readings, told runs and "not used" in one list, voided ones too. */
const entries = `(
  SELECT 'reading' AS kind, id, machine, at_ms, hours, NULL AS minutes, NULL AS since_ms, door, by, entered_at_ms, voided_at_ms,
    (SELECT records.id FROM records WHERE records.reading = readings.id AND records.voided_at_ms IS NULL) AS record
    FROM readings
  UNION ALL
  SELECT 'run', id, machine, at_ms, NULL, minutes, NULL, door, by, entered_at_ms, voided_at_ms, NULL FROM told_runs
  UNION ALL
  SELECT 'not-used', id, machine, told_at_ms, NULL, NULL, since_ms, door, by, told_at_ms, voided_at_ms, NULL FROM not_used
)`;

/** What was told of a machine's hours, newest first. */
export function hoursEntriesOf(
  store: Store,
  machine: string,
  { from, most }: { readonly from: number; readonly most: number },
): readonly HoursEntry[] {
  return store.sql
    .rows(
      `SELECT * FROM ${entries} WHERE machine = :machine
       ORDER BY at_ms DESC, entered_at_ms DESC, length(id) DESC, id DESC LIMIT :most OFFSET :from`,
      { machine, from, most },
    )
    .map(entryOf);
}

/** One entry by its id; one taken back is found too. */
export function findHoursEntry(store: Store, id: string): HoursEntry | null {
  const row = store.sql.row(`SELECT * FROM ${entries} WHERE id = :id`, { id });
  return row === null ? null : entryOf(row);
}

function entryOf(row: Row): HoursEntry {
  const common = {
    id: text(row, 'id'),
    machine: text(row, 'machine'),
    atMs: number(row, 'at_ms'),
    door: word(row, 'door', doors),
    by: textOrNull(row, 'by'),
    takenBackAtMs: numberOrNull(row, 'voided_at_ms'),
  };
  const kind = word(row, 'kind', ['reading', 'run', 'not-used']);
  if (kind === 'reading') return { ...common, kind, hours: number(row, 'hours'), record: textOrNull(row, 'record') };
  if (kind === 'run') return { ...common, kind, minutes: number(row, 'minutes') };
  return { ...common, kind, sinceMs: number(row, 'since_ms') };
}
