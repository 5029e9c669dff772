import type { AsideReading, Door } from '../../domain/facts.js';
import type { Store } from '../open.js';
import { number, numberOrNull, text, textOrNull, word } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';
import { doors } from './doors.js';

export interface NewAside extends AsideReading {
  readonly machine: string;
  readonly door: Door;
  readonly enteredAtMs: number;
}

export interface StoredAside {
  readonly machine: string;
  readonly door: Door;
  readonly aside: AsideReading;
  readonly settled: 'confirmed' | 'dropped' | null;
  /** Dropped because this reading came after it. */
  readonly answeredBy: string | null;
}

/** Keeps a reading aside.
 *  @throws Fault of the store where the id is taken */
export function addAside(store: Store, aside: NewAside): void {
  store.sql.run(
    `INSERT INTO aside (id, machine, at_ms, hours, question, suggestion_hours, door, by, entered_at_ms)
     VALUES (:id, :machine, :atMs, :hours, :question, :suggestionHours, :door, :by, :enteredAtMs)`,
    { ...aside },
  );
}

/** A reading kept aside, settled or not; null where there is none of that id. */
export function findAside(store: Store, id: string): StoredAside | null {
  const row = store.sql.row('SELECT * FROM aside WHERE id = :id', { id });
  if (row === null) return null;
  return {
    machine: text(row, 'machine'),
    door: word(row, 'door', doors),
    aside: asideOf(row),
    settled: row.settled === null ? null : word(row, 'settled', ['confirmed', 'dropped']),
    answeredBy: textOrNull(row, 'answered_by'),
  };
}

/** The open one with exactly this instant and these hours. */
export function findEqualAside(store: Store, machine: string, atMs: number, hours: number): AsideReading | null {
  const row = store.sql.row(
    'SELECT * FROM aside WHERE machine = :machine AND at_ms = :atMs AND hours = :hours AND settled_at_ms IS NULL',
    { machine, atMs, hours },
  );
  return row === null ? null : asideOf(row);
}

/** Settles a reading that was kept aside; one settled before stays as it was. */
export function settleAside(
  store: Store,
  id: string,
  settled: 'confirmed' | 'dropped',
  atMs: number,
  by: string | null,
): void {
  store.sql.run(
    'UPDATE aside SET settled = :settled, settled_at_ms = :atMs, settled_by = :by WHERE id = :id AND settled_at_ms IS NULL',
    { id, settled, atMs, by },
  );
}

/** Drops the open ones up to `untilMs`: this reading answered them. One from before another reading that a person entered is about an
 *  entry of long ago, of which this reading tells nothing. */
export function answerAsides(
  store: Store,
  machine: string,
  untilMs: number,
  reading: string,
  atMs: number,
  by: string | null,
): void {
  store.sql.run(
    `UPDATE aside SET settled = 'dropped', settled_at_ms = :atMs, settled_by = :by, answered_by = :reading
     WHERE machine = :machine AND settled_at_ms IS NULL AND at_ms <= :untilMs AND at_ms > coalesce(
       (SELECT max(before.at_ms) FROM readings AS before JOIN readings AS own ON own.id = :reading
        WHERE before.machine = :machine AND before.id <> own.id AND before.at_ms < own.at_ms
          AND before.door <> 'feed' AND before.voided_at_ms IS NULL), -1)`,
    { machine, untilMs, reading, atMs, by },
  );
}

/** The reading that answered a question was taken back: another answers it, or it is open again. */
export function answerOtherwise(store: Store, id: string, reading: string | null): void {
  store.sql.run(
    reading === null
      ? 'UPDATE aside SET settled = NULL, settled_at_ms = NULL, settled_by = NULL, answered_by = NULL WHERE id = :id'
      : 'UPDATE aside SET answered_by = :reading WHERE id = :id',
    reading === null ? { id } : { id, reading },
  );
}

/** Those that this reading answered. */
export function asidesAnsweredBy(store: Store, reading: string): readonly AsideReading[] {
  return store.sql
    .rows('SELECT * FROM aside WHERE answered_by = :reading ORDER BY at_ms, hours', { reading })
    .map(asideOf);
}

/** Readings that wait for an answer, oldest first. */
export function asideReadingsOf(store: Store, machines: readonly string[]): ByMachine<AsideReading> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM aside WHERE ${ofMachines} AND settled_at_ms IS NULL ORDER BY machine, at_ms, hours`,
    machines,
    asideOf,
  );
}

function asideOf(row: Row): AsideReading {
  return {
    id: text(row, 'id'),
    atMs: number(row, 'at_ms'),
    hours: number(row, 'hours'),
    question: text(row, 'question'),
    suggestionHours: numberOrNull(row, 'suggestion_hours'),
    by: textOrNull(row, 'by'),
  };
}

/** Whether a feed's reading of this machine waits already: a sensor asks its question once, not every minute. */
export function findOpenFeedAside(store: Store, machine: string): boolean {
  return (
    store.sql.row(`SELECT 1 AS one FROM aside WHERE machine = :machine AND door = 'feed' AND settled_at_ms IS NULL`, {
      machine,
    }) !== null
  );
}
