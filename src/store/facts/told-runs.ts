import type { Door, ToldRun } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, text, textOrNull } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

export interface NewToldRun extends ToldRun {
  readonly machine: string;
  readonly door: Door;
  readonly enteredAtMs: number;
}

/** Keeps a run that a person told of, minutes.
 *  @throws Fault of the store where the id is taken */
export function addToldRun(store: Store, run: NewToldRun): void {
  store.sql.run(
    `INSERT INTO told_runs (id, machine, at_ms, minutes, door, by, entered_at_ms)
     VALUES (:id, :machine, :atMs, :minutes, :door, :by, :enteredAtMs)`,
    { ...run },
  );
}

/** Voided ones are found too. */
export function findToldRun(store: Store, id: string): { machine: string; run: ToldRun; isVoided: boolean } | null {
  const row = store.sql.row('SELECT * FROM told_runs WHERE id = :id', { id });
  return row === null
    ? null
    : { machine: text(row, 'machine'), run: toldRunOf(row), isVoided: row.voided_at_ms !== null };
}

/** Takes a told run back; one taken back before stays as it was.
 *  @param atMs  instant of taking it back */
export function voidToldRunRow(store: Store, id: string, atMs: number, by: string | null): void {
  store.sql.run('UPDATE told_runs SET voided_at_ms = :atMs, voided_by = :by WHERE id = :id AND voided_at_ms IS NULL', {
    id,
    atMs,
    by,
  });
}

/** Told runs that count, oldest first. */
export function toldRunsOf(store: Store, machines: readonly string[]): ByMachine<ToldRun> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM told_runs WHERE ${ofMachines} AND voided_at_ms IS NULL ORDER BY machine, at_ms, entered_at_ms, id`,
    machines,
    toldRunOf,
  );
}

function toldRunOf(row: Row): ToldRun {
  return {
    id: text(row, 'id'),
    atMs: number(row, 'at_ms'),
    minutes: number(row, 'minutes'),
    by: textOrNull(row, 'by'),
  };
}
