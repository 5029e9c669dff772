import type { Paid } from '../domain/facts.js';
import { isCurrency, type Money, mostMinor } from '../domain/money.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { addPaid, findPaid, paidFor, voidPaidOfRecord } from '../store/facts/paid.js';
import { findRecord } from '../store/facts/records.js';
import type { Store } from '../store/open.js';
import type { Books } from './books.js';
import { orRefused, type Refused, refusal } from './errors.js';
import { plainText } from './plain-text.js';

/** What a person says was paid, and what for. */
export interface PaidSaid {
  readonly money: Money;
  readonly what: string | null;
}

/** Most characters of what something was paid for. */
export const longestPaidFor = 200;

/** Says what was paid for a record that stands; another amount or other words take the place of those before, which stay in the
 *  books, voided. The same again is one; so is the same form sent twice, whatever was said since.
 *  @param said  null: what was said of it is taken back */
export function sayPaid(
  books: Books,
  record: string,
  said: PaidSaid | null,
  by: string | null,
  key: string | null,
): { readonly kind: 'said' | 'taken-back' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const found = findRecord(store, record);
      if (found === null || found.isVoided) {
        throw refusal('record-unknown', 'There is no such record', {
          found: JSON.stringify(record.slice(0, 60)),
          remedy: 'It may have been taken back: look at the page of its machine.',
        });
      }
      if (key !== null && findEntry(store, key) !== null) return { kind: 'already' as const };
      const nowMs = books.clock.nowMs();
      if (key !== null) noteEntry(store, key, 'paid', record, nowMs);
      const before = paidFor(store, record);
      if (said === null) {
        if (before === null) return { kind: 'already' as const };
        voidPaidOfRecord(store, record, nowMs, by);
        return { kind: 'taken-back' as const };
      }
      const now = writePaid(store, record, said, by, nowMs);
      return { kind: now.id === before?.id ? ('already' as const) : ('said' as const) };
    }),
  );
}

/** The same within a transaction, of a record that stands.
 *  @returns the amount that stands now: the one before where it is the same */
export function writePaid(store: Store, record: string, said: PaidSaid, by: string | null, nowMs: number): Paid {
  const { currency, minor, digits } = said.money;
  if (
    !Number.isInteger(minor) ||
    minor < 0 ||
    minor > mostMinor ||
    !Number.isInteger(digits) ||
    !isCurrency(currency)
  ) {
    throw new RangeError('what was paid must be whole smallest units of a currency');
  }
  const what = plainText(said.what)?.replace(/\s+/g, ' ') ?? null;
  if (what !== null && what.length > longestPaidFor) {
    throw refusal('text-too-long', 'This is too long for what was paid for', {
      place: 'paid-for',
      found: `${what.length} characters`,
      remedy: `Write at most ${longestPaidFor}.`,
    });
  }
  const before = paidFor(store, record);
  const isSame =
    before !== null &&
    before.what === what &&
    before.money.currency === currency &&
    before.money.minor === minor &&
    before.money.digits === digits;
  if (isSame) return before;
  voidPaidOfRecord(store, record, nowMs, by);
  const paid: Paid = { id: store.newId('paid'), money: { currency, minor, digits }, what, atMs: nowMs, by };
  addPaid(store, record, paid);
  return paid;
}

/** Takes back the amount of that id: its record says nothing of money any more. Twice is once. */
export function voidPaid(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'voided' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const found = findPaid(store, id);
      if (found === null) {
        throw refusal('paid-unknown', 'No amount of that name was ever written down', {
          found: JSON.stringify(id.slice(0, 60)),
        });
      }
      if (found.isVoided) return { kind: 'already' as const };
      voidPaidOfRecord(store, found.record, books.clock.nowMs(), by);
      return { kind: 'voided' as const };
    }),
  );
}
