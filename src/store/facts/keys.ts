import { Fault } from '../../domain/fault.js';
import type { Store } from '../open.js';
import { text } from '../row.js';
import type { Row } from '../sql.js';

/** What a secret is for: each purpose has its own. */
export type KeyPurpose = 'links' | 'install' | 'calendar';

export interface SecretKey {
  readonly id: string;
  readonly secret: Buffer;
}

/** Keeps a new key for a purpose; older ones stay until revoked. */
export function addKey(store: Store, purpose: KeyPurpose, key: SecretKey, atMs: number): void {
  store.sql.run('INSERT INTO keys (id, purpose, secret, made_at_ms) VALUES (:id, :purpose, :secret, :atMs)', {
    id: key.id,
    purpose,
    secret: key.secret,
    atMs,
  });
}

/** Keys that are not revoked, the one made last first, whatever the clock said then. */
export function keysFor(store: Store, purpose: KeyPurpose): readonly SecretKey[] {
  return store.sql
    .rows('SELECT id, secret FROM keys WHERE purpose = :purpose AND revoked_at_ms IS NULL ORDER BY rowid DESC', {
      purpose,
    })
    .map(keyOf);
}

/** Revokes all keys of a purpose: what they signed opens nothing any more. */
export function revokeKeys(store: Store, purpose: KeyPurpose, atMs: number): void {
  store.sql.run('UPDATE keys SET revoked_at_ms = :atMs WHERE purpose = :purpose AND revoked_at_ms IS NULL', {
    purpose,
    atMs,
  });
}

/** How many keys this purpose ever had; names the next. */
export function countKeys(store: Store, purpose: KeyPurpose): number {
  return Number(store.sql.row('SELECT count(*) AS n FROM keys WHERE purpose = :purpose', { purpose })?.n ?? 0);
}

function keyOf(row: Row): SecretKey {
  const secret = row.secret;
  if (!Buffer.isBuffer(secret)) {
    throw new Fault({ code: 'store-row-unreadable', message: 'A stored key is not readable', place: text(row, 'id') });
  }
  return { id: text(row, 'id'), secret };
}
