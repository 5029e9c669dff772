import type { Paid, ServiceRecord } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { day, number, numberOrNull, text, textOrNull, texts, word } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';
import { doors } from './doors.js';
import { addFinding, findingsByRecord, findingsOf } from './findings.js';
import { paidByRecord, paidFor } from './paid.js';

export interface StoredRecord {
  readonly record: ServiceRecord;
  /** The reading that came with the confirmation. */
  readonly reading: string | null;
  readonly isVoided: boolean;
}

/** Adds a record with its tasks and findings. */
export function addRecord(store: Store, record: ServiceRecord, reading: string | null): void {
  store.sql.run(
    `INSERT INTO records (id, machine, visit, day, hours, hours_known, door, by, note, minutes, reading, entered_at_ms)
     VALUES (:id, :machine, :visit, :day, :hours, :hoursKnown, :door, :by, :note, :minutes, :reading, :enteredAtMs)`,
    {
      id: record.id,
      machine: record.machine,
      visit: record.visit,
      day: record.day,
      hours: record.hours,
      hoursKnown: record.hoursKnown,
      door: record.door,
      by: record.by,
      note: record.note,
      minutes: record.minutes,
      reading,
      enteredAtMs: record.enteredAtMs,
    },
  );
  for (const [place, task] of record.tasks.entries()) {
    store.sql.run('INSERT INTO record_tasks (record, place, task) VALUES (:record, :place, :task)', {
      record: record.id,
      place,
      task,
    });
  }
  for (const [index, finding] of record.findings.entries()) addFinding(store, record.id, index, finding);
}

/** Voided ones are found too: `isVoided` says so. */
export function findRecord(store: Store, id: string): StoredRecord | null {
  const row = store.sql.row(`${recordColumns} WHERE records.id = :id`, { id });
  if (row === null) return null;
  return {
    record: recordOf(row, findingsOf(store, id), paidFor(store, id)),
    reading: textOrNull(row, 'reading'),
    isVoided: row.voided_at_ms !== null,
  };
}

/** Takes a record back; one taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidRecordRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE records SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

/** Records that stand with their findings, by day, of one day in the order of entry. */
export function recordsOf(store: Store, machines: readonly string[]): ByMachine<ServiceRecord> {
  const findings = findingsByRecord(store, machines);
  const paid = paidByRecord(store, machines);
  return rowsByMachine(
    store.sql,
    `${recordColumns} WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, day, entered_at_ms, records.id`,
    machines,
    (row) => recordOf(row, findings.get(text(row, 'id')) ?? [], paid.get(text(row, 'id')) ?? null),
  );
}

const recordColumns = `SELECT records.*, (
    SELECT json_group_array(task ORDER BY place) FROM record_tasks WHERE record = records.id
  ) AS tasks FROM records`;

function recordOf(row: Row, findings: ServiceRecord['findings'], paid: Paid | null): ServiceRecord {
  return {
    id: text(row, 'id'),
    machine: text(row, 'machine'),
    visit: textOrNull(row, 'visit'),
    tasks: texts(row, 'tasks'),
    day: day(row, 'day'),
    hours: numberOrNull(row, 'hours'),
    hoursKnown: word(row, 'hours_known', ['read', 'estimated', 'unknown']),
    by: textOrNull(row, 'by'),
    door: word(row, 'door', doors),
    note: textOrNull(row, 'note'),
    minutes: numberOrNull(row, 'minutes'),
    findings,
    enteredAtMs: number(row, 'entered_at_ms'),
    ...(paid === null ? {} : { paid }),
  };
}
