import { createHash, randomBytes } from 'node:crypto';
import { addSession, endSession, hasSession } from '../store/facts/sessions.js';
import type { Books } from './books.js';

/** Begins a session and gives its token, 256 random bits: the only place where it stands from then on is the browser.
 *  @param opens   what it opens, such as a mark of the password it was begun with
 *  @param lastsMs until it is over, milliseconds, above 0 */
export function beginSession(books: Books, opens: string, lastsMs: number): string {
  const token = randomBytes(32).toString('base64url');
  const { store, clock } = books;
  const nowMs = clock.nowMs();
  store.mark(() => addSession(store, { hash: hashOf(token), opens, expiresAtMs: nowMs + lastsMs }, nowMs));
  return token;
}

/** Whether a token opens this and is not over. */
export function isSession(books: Books, token: string, opens: string): boolean {
  return hasSession(books.store, hashOf(token), opens, books.clock.nowMs());
}

/** Signs out: the token opens nothing more. */
export function leaveSession(books: Books, token: string): void {
  const { store } = books;
  store.mark(() => endSession(store, hashOf(token)));
}

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('base64url');
}
