import type { SentNotice } from '../../domain/facts.js';
import { noticeKinds } from '../../domain/household.js';
import type { Store } from '../open.js';
import { dayOrNull, number, text, textOrNull, texts, word } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

export interface NewNotice extends SentNotice {
  readonly machine: string | null;
  readonly because: string;
  /** What may be said only once. */
  readonly once: string;
}

/** A notice counts as said unless its letter and all copies of it ended without going out. */
const wasSent = `message NOT IN (
  SELECT id FROM outbox AS ended WHERE never_sent IS NOT NULL
    AND NOT EXISTS (SELECT 1 FROM outbox AS copy WHERE copy.copy_of = ended.id AND copy.never_sent IS NULL))`;

/** The same said anew bears a number behind it. Nothing else begins so: `once` is a whole JSON text, which ends with a bracket. */
const sameOnce = `(once = :once OR (once > :once || '#' AND once < :once || '$'))`;

/** Whether a notice under this name for saying it once was sent, or waits to be. */
export function wasSaid(store: Store, once: string): boolean {
  return store.sql.row(`SELECT 1 AS said FROM notices WHERE ${sameOnce} AND ${wasSent}`, { once }) !== null;
}

/** Keeps a notice with the letter that carries it. */
export function addNotice(store: Store, notice: NewNotice): void {
  const { once } = notice;
  const before = Number(store.sql.row(`SELECT count(*) AS n FROM notices WHERE ${sameOnce}`, { once })?.n ?? 0);
  store.sql.run(
    `INSERT INTO notices (id, message, kind, machine, visit, tasks, to_person, at_ms, proposed_day, because, once)
     VALUES (:id, :message, :kind, :machine, :visit, :tasks, :to, :atMs, :proposedDay, :because, :once)`,
    { ...notice, tasks: JSON.stringify(notice.tasks), once: before === 0 ? once : `${once}#${before}` },
  );
}

/** Notices that were sent or wait to be, oldest first. */
export function noticesOf(store: Store, machines: readonly string[]): ByMachine<SentNotice> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM notices WHERE ${ofMachines} AND ${wasSent} ORDER BY machine, at_ms, rowid`,
    machines,
    noticeOf,
  );
}

/** `late` notices whose letters and copies all ended without going out, oldest first. */
export function lateUnheardOf(store: Store, machines: readonly string[]): ByMachine<SentNotice> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM notices WHERE ${ofMachines} AND kind = 'late' AND NOT (${wasSent}) ORDER BY machine, at_ms, rowid`,
    machines,
    noticeOf,
  );
}

/** Notices about no machine. */
export function householdNotices(store: Store): readonly SentNotice[] {
  return store.sql
    .rows(`SELECT * FROM notices WHERE machine IS NULL AND ${wasSent} ORDER BY at_ms, rowid`)
    .map(noticeOf);
}

/** What a message says, each with its machine. */
export function noticesIn(
  store: Store,
  message: string,
): readonly (SentNotice & { readonly machine: string | null })[] {
  return store.sql
    .rows('SELECT * FROM notices WHERE message = :message ORDER BY rowid', { message })
    .map((row) => ({ ...noticeOf(row), machine: textOrNull(row, 'machine') }));
}

/** Why its notices went out, by letter; for the page that lists them. */
export function reasonsByLetter(store: Store): ReadonlyMap<string, readonly string[]> {
  const reasons = new Map<string, string[]>();
  // A letter that stands for two people says it once.
  const own = `SELECT message, because FROM notices JOIN outbox ON outbox.id = message
    WHERE notices.to_person = outbox.to_person ORDER BY at_ms, notices.rowid`;
  for (const row of store.sql.rows(own)) {
    const letter = text(row, 'message');
    reasons.set(letter, [...(reasons.get(letter) ?? []), text(row, 'because')]);
  }
  return reasons;
}

function noticeOf(row: Row): SentNotice {
  return {
    id: text(row, 'id'),
    message: text(row, 'message'),
    kind: word(row, 'kind', noticeKinds),
    visit: textOrNull(row, 'visit'),
    tasks: texts(row, 'tasks'),
    to: text(row, 'to_person'),
    atMs: number(row, 'at_ms'),
    proposedDay: dayOrNull(row, 'proposed_day'),
  };
}
