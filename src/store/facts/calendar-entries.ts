import type { Day } from '../../domain/day.js';
import type { Store } from '../open.js';
import { day, number, text, texts } from '../row.js';
import type { Row } from '../sql.js';

/** What the calendar said last of one visit. */
export interface StoredCalendarEntry {
  readonly sequence: number;
  readonly day: Day;
  readonly tasks: readonly string[];
  readonly changedAtMs: number;
}

/** Notes how a visit stands in the calendar from now on.
 *  @throws Fault of the store where the visit has that sequence already */
export function addCalendarEntry(store: Store, visit: string, entry: StoredCalendarEntry): void {
  store.sql.run(
    `INSERT INTO calendar_entries (visit, sequence, day, tasks, changed_at_ms)
     VALUES (:visit, :sequence, :day, :tasks, :changedAtMs)`,
    {
      visit,
      sequence: entry.sequence,
      day: entry.day,
      tasks: JSON.stringify(entry.tasks),
      changedAtMs: entry.changedAtMs,
    },
  );
}

/** A visit that the calendar holds still: its newest entry lies on or after `fromDay`, or cancelled it (no tasks) since `cancelledSinceMs`. */
export function calendarEntriesHeld(
  store: Store,
  fromDay: Day,
  cancelledSinceMs: number,
): ReadonlyMap<string, StoredCalendarEntry> {
  const rows = store.sql.rows(
    `SELECT visit, sequence, day, tasks, changed_at_ms FROM calendar_entries AS entry
     WHERE sequence = (SELECT max(sequence) FROM calendar_entries WHERE visit = entry.visit)
       AND CASE tasks WHEN '[]' THEN changed_at_ms >= :cancelledSinceMs ELSE day >= :fromDay END
     ORDER BY day, visit`,
    { fromDay, cancelledSinceMs },
  );
  return entriesByVisit(rows);
}

/** The newest entry of each of these visits; those the calendar never showed are missing. */
export function calendarEntriesOf(store: Store, visits: readonly string[]): ReadonlyMap<string, StoredCalendarEntry> {
  const rows = store.sql.rows(
    `SELECT visit, sequence, day, tasks, changed_at_ms FROM calendar_entries AS entry
     WHERE visit IN (SELECT value FROM json_each(:visits))
       AND sequence = (SELECT max(sequence) FROM calendar_entries WHERE visit = entry.visit)`,
    { visits: JSON.stringify(visits) },
  );
  return entriesByVisit(rows);
}

function entriesByVisit(rows: readonly Row[]): ReadonlyMap<string, StoredCalendarEntry> {
  return new Map(
    rows.map((row) => [
      text(row, 'visit'),
      {
        sequence: number(row, 'sequence'),
        day: day(row, 'day'),
        tasks: texts(row, 'tasks'),
        changedAtMs: number(row, 'changed_at_ms'),
      },
    ]),
  );
}
