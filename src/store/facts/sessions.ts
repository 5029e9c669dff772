import type { Store } from '../open.js';
import { number, text } from '../row.js';

/** Somebody who signed in. The token itself is never kept, only its SHA-256. */
export interface Session {
  readonly hash: string;
  /** What it opens: all pages under one password, or one page. */
  readonly opens: string;
  readonly expiresAtMs: number;
  /** On what, in words; empty where nobody knows. */
  readonly device: string;
  /** 0: not known, begun before that was kept. */
  readonly begunAtMs: number;
}

/** Keeps a session; those that are over are dropped, so that the table stays small. */
export function addSession(store: Store, session: Session, atMs: number): void {
  store.sql.run('DELETE FROM sessions WHERE expires_at_ms <= :atMs', { atMs });
  store.sql.run(
    'INSERT INTO sessions (hash, opens, expires_at_ms, device, begun_at_ms) VALUES (:hash, :opens, :expiresAtMs, :device, :begunAtMs)',
    {
      ...session,
    },
  );
}

/** Whether a session is there that opens this and is not over. */
export function hasSession(store: Store, hash: string, opens: string, atMs: number): boolean {
  const found = store.sql.row(
    'SELECT 1 AS found FROM sessions WHERE hash = :hash AND opens = :opens AND expires_at_ms > :atMs',
    { hash, opens, atMs },
  );
  return found !== null;
}

/** The sessions that open this and are not over, the newest first. */
export function sessionsFor(store: Store, opens: string, atMs: number): readonly Session[] {
  return store.sql
    .rows(
      'SELECT * FROM sessions WHERE opens = :opens AND expires_at_ms > :atMs ORDER BY begun_at_ms DESC, expires_at_ms DESC, hash',
      { opens, atMs },
    )
    .map((row) => ({
      hash: text(row, 'hash'),
      opens,
      expiresAtMs: number(row, 'expires_at_ms'),
      device: text(row, 'device'),
      begunAtMs: number(row, 'begun_at_ms'),
    }));
}

/** Ends a session; nothing where it has ended before.
 *  @param hash  of its token, which is never stored */
export function endSession(store: Store, hash: string): void {
  store.sql.run('DELETE FROM sessions WHERE hash = :hash', { hash });
}
