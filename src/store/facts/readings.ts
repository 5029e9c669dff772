import type { Door, Reading } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, text, textOrNull, word } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';
import { doors } from './doors.js';

export interface NewReading {
  readonly id: string;
  readonly machine: string;
  readonly atMs: number;
  readonly hours: number;
  readonly about: boolean;
  readonly door: Door;
  readonly by: string | null;
  readonly note: string | null;
  readonly enteredAtMs: number;
}

/** Keeps a reading that counts.
 *  @throws Fault of the store where the id is taken */
export function addReading(store: Store, reading: NewReading): void {
  store.sql.run(
    `INSERT INTO readings (id, machine, at_ms, hours, about, door, by, note, entered_at_ms)
     VALUES (:id, :machine, :atMs, :hours, :about, :door, :by, :note, :enteredAtMs)`,
    { ...reading, about: reading.about ? 1 : 0 },
  );
}

/** Voided ones are found too: `isVoided` says so. */
export function findReading(store: Store, id: string): StoredReading | null {
  const row = store.sql.row('SELECT * FROM readings WHERE id = :id', { id });
  return row === null ? null : storedReading(row);
}

export interface StoredReading {
  readonly machine: string;
  readonly reading: Reading;
  readonly isVoided: boolean;
}

/** The one that stands with exactly this instant and these hours. */
export function findEqualReading(store: Store, machine: string, atMs: number, hours: number): Reading | null {
  const row = store.sql.row(
    'SELECT * FROM readings WHERE machine = :machine AND at_ms = :atMs AND hours = :hours AND voided_at_ms IS NULL',
    { machine, atMs, hours },
  );
  return row === null ? null : readingOf(row);
}

/** Takes a reading back; one taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidReadingRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE readings SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

/** Readings that count, oldest first, of one instant by their hours. */
export function readingsOf(store: Store, machines: readonly string[]): ByMachine<Reading> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM readings WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, at_ms, hours`,
    machines,
    readingOf,
  );
}

function storedReading(row: Row): StoredReading {
  return { machine: text(row, 'machine'), reading: readingOf(row), isVoided: row.voided_at_ms !== null };
}

function readingOf(row: Row): Reading {
  return {
    id: text(row, 'id'),
    atMs: number(row, 'at_ms'),
    hours: number(row, 'hours'),
    about: number(row, 'about') === 1,
    door: word(row, 'door', doors),
    by: textOrNull(row, 'by'),
  };
}
