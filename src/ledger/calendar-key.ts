import { randomBytes, timingSafeEqual } from 'node:crypto';
import { addKey, countKeys, keysFor, revokeKeys, type SecretKey } from '../store/facts/keys.js';
import type { Books } from './books.js';

/** 256 bits: nobody guesses it. */
const keyBytes = 32;

/** The secret in the address of the calendar, and its name, which is none. */
export interface CalendarKey {
  readonly id: string;
  /** 43 characters of base64url. Who has it reads the visits ahead, and can do nothing else. */
  readonly token: string;
}

/** The key in use, made at the first asking. */
export function calendarKey(books: Books): CalendarKey {
  const { store } = books;
  const known = keysFor(store, 'calendar')[0];
  if (known !== undefined) return keyOf(known);
  return store.mark(() => keyOf(keysFor(store, 'calendar')[0] ?? makeKey(books)));
}

/** Whether a token opens the calendar now. */
export function opensCalendar(books: Books, token: string): boolean {
  const given = Buffer.from(token);
  return keysFor(books.store, 'calendar').some((key) => {
    // The text is compared, not the bytes: several last characters stand for the same bytes.
    const own = Buffer.from(keyOf(key).token);
    return own.length === given.length && timingSafeEqual(own, given);
  });
}

/** Makes a new address; the one before opens nothing more. The same wish twice makes one new address.
 *  @param id  the key that is to be given up; where another is in use by now, nothing changes */
export function renewCalendarKey(books: Books, id: string): CalendarKey {
  const { store } = books;
  return store.mark(() => {
    const inUse = keysFor(store, 'calendar')[0];
    if (inUse !== undefined && inUse.id !== id) return keyOf(inUse);
    revokeKeys(store, 'calendar', books.clock.nowMs());
    return keyOf(makeKey(books));
  });
}

function makeKey(books: Books): SecretKey {
  const key = { id: `calendar-${countKeys(books.store, 'calendar') + 1}`, secret: randomBytes(keyBytes) };
  addKey(books.store, 'calendar', key, books.clock.nowMs());
  return key;
}

function keyOf(key: SecretKey): CalendarKey {
  return { id: key.id, token: key.secret.toString('base64url') };
}
