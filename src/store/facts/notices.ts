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

export function wasSaid(store: Store, once: string): boolean {
  return store.sql.row('SELECT 1 AS said FROM notices WHERE once = :once', { once }) !== null;
}

export function addNotice(store: Store, notice: NewNotice): void {
  store.sql.run(
    `INSERT INTO notices (id, message, kind, machine, visit, tasks, to_person, at_ms, proposed_day, because, once)
     VALUES (:id, :message, :kind, :machine, :visit, :tasks, :to, :atMs, :proposedDay, :because, :once)`,
    { ...notice, tasks: JSON.stringify(notice.tasks) },
  );
}

export function noticesOf(store: Store, machines: readonly string[]): ByMachine<SentNotice> {
  return rowsByMachine(
    store.sql,
    `SELECT * FROM notices WHERE ${ofMachines} ORDER BY machine, at_ms, rowid`,
    machines,
    noticeOf,
  );
}

/** Notices about no machine. */
export function householdNotices(store: Store): readonly SentNotice[] {
  return store.sql.rows('SELECT * FROM notices WHERE machine IS NULL ORDER BY at_ms, rowid').map(noticeOf);
}

/** Why its notices went out, by letter; for the page that lists them. */
export function reasonsByLetter(store: Store): ReadonlyMap<string, readonly string[]> {
  const reasons = new Map<string, string[]>();
  for (const row of store.sql.rows('SELECT message, because FROM notices ORDER BY at_ms, rowid')) {
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
