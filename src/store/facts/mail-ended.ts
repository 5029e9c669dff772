import type { Store } from '../open.js';
import { number, text } from '../row.js';

/** A standing wish for no more mail. */
export interface MailEnded {
  /** Person's id. */
  readonly person: string;
  readonly atMs: number;
}

/** Standing wishes, in the order in which they came. */
export function standingMailEnds(store: Store): readonly MailEnded[] {
  return store.sql
    .rows('SELECT person, at_ms FROM mail_ended WHERE taken_back_at_ms IS NULL ORDER BY id')
    .map((row) => ({ person: text(row, 'person'), atMs: number(row, 'at_ms') }));
}

/** How often a wish of this person was taken back. */
export function countMailTakenBack(store: Store, person: string): number {
  const sql = 'SELECT count(*) AS n FROM mail_ended WHERE person = :person AND taken_back_at_ms IS NOT NULL';
  return Number(store.sql.row(sql, { person })?.n ?? 0);
}

/** The same wish twice is one. */
export function addMailEnded(store: Store, { person, atMs }: MailEnded): void {
  store.sql.run('INSERT INTO mail_ended (person, at_ms) VALUES (:person, :atMs) ON CONFLICT DO NOTHING', {
    person,
    atMs,
  });
}

/** Ends a person's wish for no more mail; without such a wish nothing changes. */
export function takeBackMailEnded(store: Store, person: string, atMs: number): void {
  store.sql.run('UPDATE mail_ended SET taken_back_at_ms = :atMs WHERE person = :person AND taken_back_at_ms IS NULL', {
    person,
    atMs,
  });
}
