import { randomBytes } from 'node:crypto';
import { addKey, keysFor } from '../store/facts/keys.js';
import type { Books } from './books.js';

/** A random name of this installation, made once: for the broker's client id and the Message-IDs. 12 hexadecimal digits. */
export function installId(books: Books): string {
  const { store } = books;
  const known = keysFor(store, 'install')[0];
  if (known !== undefined) return known.secret.toString('hex');
  return store.mark(() => {
    const quicker = keysFor(store, 'install')[0];
    if (quicker !== undefined) return quicker.secret.toString('hex');
    const secret = randomBytes(6);
    addKey(store, 'install', { id: 'install', secret }, books.clock.nowMs());
    return secret.toString('hex');
  });
}
