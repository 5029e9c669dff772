import type { Finding } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { text, textOrNull, word } from '../row.js';
import type { Row } from '../sql.js';
import { ofMachines } from './by-machine.js';

/** Adds a finding to a record.
 *  @param number  its place in the record, from 1 on, each once */
export function addFinding(store: Store, record: string, number: number, finding: Finding): void {
  store.sql.run(
    `INSERT INTO findings (record, number, task, measurement, place, found, left_as, verdict, note)
     VALUES (:record, :number, :task, :measurement, :place, :found, :left, :verdict, :note)`,
    { record, number, ...finding },
  );
}

/** Findings by their record, in the order entered. */
export function findingsByRecord(store: Store, machines: readonly string[]): ReadonlyMap<string, readonly Finding[]> {
  const sorted = new Map<string, Finding[]>();
  const rows = store.sql.rows(
    `SELECT findings.* FROM findings JOIN records ON records.id = findings.record WHERE ${ofMachines} ORDER BY record, number`,
    { machines: JSON.stringify(machines) },
  );
  for (const row of rows) {
    const record = text(row, 'record');
    sorted.set(record, [...(sorted.get(record) ?? []), findingOf(row)]);
  }
  return sorted;
}

/** Findings of a record, in the order in which they were told. */
export function findingsOf(store: Store, record: string): readonly Finding[] {
  return store.sql.rows('SELECT * FROM findings WHERE record = :record ORDER BY number', { record }).map(findingOf);
}

function findingOf(row: Row): Finding {
  return {
    task: text(row, 'task'),
    measurement: text(row, 'measurement'),
    place: textOrNull(row, 'place'),
    found: textOrNull(row, 'found'),
    left: textOrNull(row, 'left_as'),
    verdict: row.verdict === null ? null : word(row, 'verdict', ['in', 'out', 'too close to call']),
    note: textOrNull(row, 'note'),
  };
}
