import { createHash, randomBytes } from 'node:crypto';
import { addSession, endSession, hasSession, sessionsFor } from '../store/facts/sessions.js';
import type { Books } from './books.js';

/** Begins a session and gives its token, 256 random bits: the only place where it stands from then on is the browser.
 *  @param opens   what it opens, such as a mark of the password it was begun with
 *  @param lastsMs until it is over, milliseconds, above 0
 *  @param device  on what, in words for a list; empty: not told */
export function beginSession(books: Books, opens: string, lastsMs: number, device = ''): string {
  const token = randomBytes(32).toString('base64url');
  const { store, clock } = books;
  const nowMs = clock.nowMs();
  store.mark(() =>
    addSession(store, { hash: hashOf(token), opens, expiresAtMs: nowMs + lastsMs, device, begunAtMs: nowMs }, nowMs),
  );
  return token;
}

/** Whether a token opens this and is not over. */
export function isSession(books: Books, token: string, opens: string): boolean {
  return hasSession(books.store, hashOf(token), opens, books.clock.nowMs());
}

/** A device on which somebody is signed in. */
export interface SignedInDevice {
  /** The hash of its token: it lets nobody in. */
  readonly id: string;
  readonly device: string;
  /** Null: not known. */
  readonly begunAtMs: number | null;
  readonly expiresAtMs: number;
}

/** Who is signed in under what these sessions open, the newest first. */
export function signedInDevices(books: Books, opens: string): readonly SignedInDevice[] {
  return sessionsFor(books.store, opens, books.clock.nowMs()).map(({ hash, device, begunAtMs, expiresAtMs }) => ({
    id: hash,
    device,
    begunAtMs: begunAtMs === 0 ? null : begunAtMs,
    expiresAtMs,
  }));
}

/** By which id a token stands in that list. */
export function idOfToken(token: string): string {
  return hashOf(token);
}

/** Signs out a device of that list; one that is out already stays so. */
export function endSessionOf(books: Books, id: string): void {
  const { store } = books;
  store.mark(() => endSession(store, id));
}

/** Signs out: the token opens nothing more. */
export function leaveSession(books: Books, token: string): void {
  const { store } = books;
  store.mark(() => endSession(store, hashOf(token)));
}

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('base64url');
}
