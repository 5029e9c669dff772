import type { AsideReading, Door, Reading } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import { parseHoursText } from '../domain/hours-text.js';
import { addAside, findAside, findEqualAside, settleAside } from '../store/facts/aside.js';
import { findEntry, noteEntry } from '../store/facts/entries.js';
import { findEqualReading, findReading } from '../store/facts/readings.js';
import { admitReading } from './admit-reading.js';
import { type Books, machineCalled } from './books.js';
import { orRefused, Refusal, type Refused, refusal } from './errors.js';

/** Meter hours as a person or a sensor saw them. */
export interface ReadingToEnter {
  readonly machine: string;
  readonly hours: number;
  readonly atMs: number;
  readonly by: string | null;
  readonly door: Door;
  /** Counts a questionable one; never overrides a refusal. */
  readonly confirm: boolean;
  /** One per form shown: the same hours under the same key are one entry. */
  readonly key: string | null;
  readonly note?: string | null;
}

export type ReadingEntry =
  | { readonly kind: 'counted' | 'already'; readonly reading: Reading }
  /** Kept aside with a question; counts once confirmed. */
  | { readonly kind: 'aside'; readonly aside: AsideReading }
  | { readonly kind: 'refused'; readonly fault: Fault };

/** Enters a reading: counted, known already, kept aside with a question, or refused (nothing is stored then). */
export function enterReading(books: Books, entry: ReadingToEnter): ReadingEntry {
  return orRefused(() => books.store.write(() => enter(books, entry)));
}

/** Counts a reading that was kept aside. A refusal stands: facts entered since may have made it impossible. */
export function confirmAside(books: Books, id: string, by: string | null): ReadingEntry {
  const { store } = books;
  return orRefused(() =>
    store.write((): ReadingEntry => {
      const kept = findAside(store, id);
      if (kept === null) throw asideUnknown(id);
      if (kept.settled === 'dropped') {
        const why =
          kept.answeredBy === null ? 'was dropped before' : `was answered by a later reading, ${kept.answeredBy}`;
        throw refusal('aside-dropped', `This reading ${why}`, { found: id, remedy: 'Enter it anew.' });
      }
      const { hours, atMs } = kept.aside;
      return enter(books, {
        machine: kept.machine,
        hours,
        atMs,
        by: by ?? kept.aside.by,
        door: kept.door,
        confirm: true,
        key: null,
      });
    }),
  );
}

/** Drops a reading that was kept aside: it was a slip. */
export function dropAside(
  books: Books,
  id: string,
  by: string | null,
): { readonly kind: 'dropped' | 'already' } | Refused {
  const { store } = books;
  return orRefused(() =>
    store.write(() => {
      const kept = findAside(store, id);
      if (kept === null) throw asideUnknown(id);
      if (kept.settled === 'confirmed') {
        throw refusal('aside-confirmed', 'This reading was confirmed before', {
          found: id,
          remedy: 'Void the reading that it became.',
        });
      }
      if (kept.settled === 'dropped') return { kind: 'already' as const };
      settleAside(store, id, 'dropped', books.clock.nowMs(), by);
      return { kind: 'dropped' as const };
    }),
  );
}

/** Counts what was probably meant in place of a reading that was kept aside: both, or neither where that cannot be right. */
export function correctAside(books: Books, id: string, by: string | null): ReadingEntry {
  return orRefused(() =>
    books.store.write((): ReadingEntry => {
      const kept = findAside(books.store, id);
      if (kept === null) throw asideUnknown(id);
      const { atMs, suggestionHours } = kept.aside;
      if (suggestionHours === null) {
        throw refusal('aside-unknown', 'Nobody knows what was meant by this reading', { found: id });
      }
      const dropped = dropAside(books, id, by);
      if (dropped.kind === 'refused') throw new Refusal(dropped.fault);
      const entry = enter(books, {
        machine: kept.machine,
        hours: suggestionHours,
        atMs,
        by: by ?? kept.aside.by,
        door: kept.door,
        confirm: true,
        key: null,
      });
      if (entry.kind === 'refused') throw new Refusal(entry.fault);
      return entry;
    }),
  );
}

/** Hours from text as a person typed them.
 *  @throws Fault hours-unreadable */
export function readHoursText(text: string): number {
  return parseHoursText(text);
}

function enter(books: Books, entry: ReadingToEnter): ReadingEntry {
  const { store } = books;
  const machine = machineCalled(books, entry.machine);
  const before = entry.key === null ? null : findEntry(store, entry.key);
  const known = before === null ? null : replay(books, before, entry);
  if (known !== null) return known;
  const admission = admitReading(books, machine, { ...entry, note: entry.note ?? null });
  if (admission.kind === 'refused') return admission;
  const nowMs = books.clock.nowMs();
  if (admission.kind !== 'questionable') {
    if (entry.key !== null) noteEntry(store, entry.key, 'reading', admission.reading.id, nowMs);
    return admission;
  }
  const { atMs } = admission;
  const waiting = findEqualAside(store, machine.id, atMs, entry.hours);
  const aside: AsideReading = waiting ?? {
    id: store.newId('aside'),
    atMs,
    hours: entry.hours,
    question: admission.question,
    suggestionHours: admission.suggestionHours,
    by: entry.by,
  };
  if (waiting === null) addAside(store, { ...aside, machine: machine.id, door: entry.door, enteredAtMs: nowMs });
  if (entry.key !== null) noteEntry(store, entry.key, 'aside', aside.id, nowMs);
  return { kind: 'aside', aside };
}

/** What the same key brought before. A key whose reading was voided, that comes with other hours than then (a page that was
 *  gone back to), or that now confirms its questionable reading, is open again. */
function replay(books: Books, before: { kind: string; fact: string }, entry: ReadingToEnter): ReadingEntry | null {
  const { store } = books;
  if (before.kind === 'reading') {
    const stored = findReading(store, before.fact);
    const isSame = stored?.machine === entry.machine && stored.reading.hours === entry.hours;
    return stored === null || stored.isVoided || !isSame ? null : { kind: 'already', reading: stored.reading };
  }
  if (before.kind === 'aside') {
    const kept = findAside(store, before.fact);
    if (kept === null || entry.confirm) return null;
    if (kept.machine !== entry.machine || kept.aside.hours !== entry.hours) return null;
    if (kept.settled === null) return { kind: 'aside', aside: kept.aside };
    const reading = findEqualReading(store, kept.machine, kept.aside.atMs, kept.aside.hours);
    return reading === null ? null : { kind: 'already', reading };
  }
  throw refusal('key-of-another-entry', 'This form was sent before as something else', {
    remedy: 'Open the page again and enter it there.',
  });
}

function asideUnknown(id: string): Fault {
  return refusal('aside-unknown', 'No such reading was kept aside', { found: JSON.stringify(id.slice(0, 60)) });
}
