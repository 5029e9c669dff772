import type { GivenAnswer, HoursEntry } from '../domain/facts.js';
import { findAnswer, givenAnswersOf } from '../store/facts/answers.js';
import { asidesAnsweredBy } from '../store/facts/aside.js';
import { findHoursEntry, hoursEntriesOf } from '../store/facts/hours-entries.js';
import { recordsOf } from '../store/facts/records.js';
import type { Books } from './books.js';

/** A stretch of the list of what was told of a machine's hours, newest first, and whether anything older follows. */
export interface HoursTold {
  readonly entries: readonly HoursEntry[];
  readonly goesOn: boolean;
}

/** Readings, told runs and "not used" of a machine, those taken back too. */
export function hoursTold(
  { store }: Books,
  machine: string,
  { from, most }: { readonly from: number; readonly most: number },
): HoursTold {
  const entries = hoursEntriesOf(store, machine, { from, most: most + 1 });
  return { entries: entries.slice(0, most), goesOn: entries.length > most };
}

/** One of them by its id, or null. */
export function hoursEntry({ store }: Books, id: string): HoursEntry | null {
  return findHoursEntry(store, id);
}

/** Standing records that tell the hours of a reading as read: where those were wrong, they are wrong there too. */
export function recordsTelling({ store }: Books, entry: HoursEntry): readonly string[] {
  if (entry.kind !== 'reading') return [];
  const records = recordsOf(store, [entry.machine]).get(entry.machine) ?? [];
  return records.filter((one) => one.hoursKnown === 'read' && one.hours === entry.hours).map((one) => one.id);
}

/** Hours of the questions that were closed because this reading came after them. */
export function questionsAnsweredBy({ store }: Books, reading: string): readonly number[] {
  return asidesAnsweredBy(store, reading).map((aside) => aside.hours);
}

/** The answers given about a machine, newest first, those taken back too. */
export function answersGiven({ store }: Books, machine: string): readonly GivenAnswer[] {
  return [...givenAnswersOf(store, machine)].reverse();
}

/** One answer by its id, or null. */
export function givenAnswer({ store }: Books, id: string): GivenAnswer | null {
  return findAnswer(store, id);
}
