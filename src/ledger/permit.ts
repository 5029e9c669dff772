import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';
import { dayMs } from '../domain/day.js';
import { addKey, countKeys, keysFor, revokeKeys, type SecretKey } from '../store/facts/keys.js';
import type { Store } from '../store/open.js';
import type { Books } from './books.js';

/** What the bearer of a link may do: confirm one visit, enter a reading of one machine, or end the mail to the person it was sent to. */
type PermitScope = 'visit' | 'reading' | 'no-mail';

export interface Permit {
  readonly scope: PermitScope;
  /** Visit id, machine id, or which stretch of mail it ends. */
  readonly subject: string;
  /** Person to whom the link was sent. */
  readonly person: string;
}

export type PermitAnswer =
  | ({ readonly kind: 'valid' } & Permit)
  /** Genuine, but its days are over. */
  | ({ readonly kind: 'expired' } & Permit)
  | { readonly kind: 'forged' };

const scopeLetters = { visit: 'v', reading: 'r', 'no-mail': 'm' } as const satisfies Record<PermitScope, string>;
const scopes: readonly PermitScope[] = ['visit', 'reading', 'no-mail'];

/** HMAC-SHA-256 cut to 128 bits, as RFC 2104 section 5 and RFC 4231 section 4.6 allow: 22 characters of base64url. */
const signatureBytes = 16;
const signatureLength = 22;
const keyBytes = 32;

/** A signed token for a link: base64url throughout, so that no mail program breaks it.
 *  @param days days until it expires, above 0 */
export function makePermit(books: Books, permit: Permit & { readonly days: number }): string {
  const key = signingKey(books.store, books.clock.nowMs());
  const expiresAtDays = Math.ceil(books.clock.nowMs() / dayMs + permit.days);
  const body = Buffer.from(
    JSON.stringify([key.id, scopeLetters[permit.scope], expiresAtDays, permit.person, permit.subject]),
  ).toString('base64url');
  return body + sign(key.secret, body);
}

/** Whether a token is genuine and still good. Marks that mail programs hang on behind it (`.`, `>`, a closing bracket) are overlooked. */
export function readPermit(books: Books, token: string): PermitAnswer {
  const text = /^[A-Za-z0-9_-]*/.exec(token.slice(0, 2000))?.[0] ?? '';
  const body = text.slice(0, -signatureLength);
  const said = readBody(body);
  if (said === null) return { kind: 'forged' };
  const key = keysFor(books.store, 'links').find((k) => k.id === said.key);
  // The text is compared, not the bytes: several last characters stand for the same bytes.
  if (key === undefined || !equalText(text.slice(-signatureLength), sign(key.secret, body))) return { kind: 'forged' };
  const isOver = books.clock.nowMs() >= said.expiresAtDays * dayMs;
  return { kind: isOver ? 'expired' : 'valid', ...said.permit };
}

/** Makes a new key for the links to come. Links sent before stay good, unless `revoke`: then none of them opens anything more. */
export function renewPermitKey(books: Books, options: { readonly revoke: boolean }): void {
  const { store } = books;
  store.mark(() => {
    const nowMs = books.clock.nowMs();
    if (options.revoke) revokeKeys(store, 'links', nowMs);
    newKey(store, nowMs);
  });
}

/** Names the key of the links that are sent now, for the form that closes them. */
export function permitKeyId(books: Books): string {
  return signingKey(books.store, books.clock.nowMs()).id;
}

/** From now on no link that was sent opens anything; those of messages to come do. The same wish twice closes once.
 *  @param id  the key in use when somebody wished it; where another is by now, nothing changes */
export function closeSentLinks(books: Books, id: string): void {
  books.store.mark(() => {
    if (permitKeyId(books) === id) renewPermitKey(books, { revoke: true });
  });
}

/** The signature of a text: HMAC-SHA-256, its first 128 bits as base64url.
 *  Source: RFC 2104, RFC 4231. */
export function sign(secret: Buffer, text: string): string {
  return createHmac('sha256', secret).update(text, 'utf8').digest().subarray(0, signatureBytes).toString('base64url');
}

function signingKey(store: Store, nowMs: number): SecretKey {
  const [newest] = keysFor(store, 'links');
  if (newest !== undefined) return newest;
  return store.mark(() => keysFor(store, 'links')[0] ?? newKey(store, nowMs));
}

function newKey(store: Store, nowMs: number): SecretKey {
  const key = { id: `k${countKeys(store, 'links') + 1}`, secret: randomBytes(keyBytes) };
  addKey(store, 'links', key, nowMs);
  return key;
}

interface Body {
  readonly key: string;
  readonly expiresAtDays: number;
  readonly permit: Permit;
}

function readBody(body: string): Body | null {
  let parts: unknown;
  try {
    parts = JSON.parse(Buffer.from(body, 'base64url').toString('utf8'));
  } catch {
    return null;
  }
  if (!Array.isArray(parts) || parts.length !== 5) return null;
  const [key, letter, expiresAtDays, person, subject]: readonly unknown[] = parts;
  const scope = scopes.find((one) => scopeLetters[one] === letter);
  if (scope === undefined || typeof key !== 'string' || typeof expiresAtDays !== 'number') return null;
  if (typeof person !== 'string' || typeof subject !== 'string') return null;
  return { key, expiresAtDays, permit: { scope, subject, person } };
}

function equalText(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(a), Buffer.from(b)];
  return left.length === right.length && timingSafeEqual(left, right);
}
