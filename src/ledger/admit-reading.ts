import { dayOf, endOfDay, formatInstant, minuteMs } from '../domain/day.js';
import type { Door, Reading } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import type { Machine } from '../domain/machine.js';
import { believeReading } from '../hours/believe.js';
import { type Evidence, gatherEvidence } from '../hours/evidence.js';
import { answerAsides, findEqualAside, settleAside } from '../store/facts/aside.js';
import { addReading, findEqualReading } from '../store/facts/readings.js';
import type { Books } from './books.js';
import { refusal } from './errors.js';
import { factsOf } from './machine-facts.js';
import { otherMeters } from './other-meters.js';

const clockSlackMs = 5 * minuteMs;

export interface ReadingToAdmit {
  readonly hours: number;
  readonly atMs: number;
  readonly by: string | null;
  readonly door: Door;
  /** A person looked again and says that a questionable one is right. */
  readonly confirm: boolean;
  readonly note: string | null;
}

export type Admission =
  | { readonly kind: 'counted' | 'already'; readonly reading: Reading }
  | {
      readonly kind: 'questionable';
      readonly atMs: number;
      readonly question: string;
      readonly suggestionHours: number | null;
    }
  | { readonly kind: 'refused'; readonly fault: Fault };

/** The one way by which meter hours come to count, whichever entry they are part of. Inside a transaction.
 *  @param evidence what is known of the machine's hours so far; an import of many rows hands it in, so that it is not gathered for each
 *  @returns `refused` and `questionable` have written nothing */
export function admitReading(books: Books, machine: Machine, entry: ReadingToAdmit, evidence?: Evidence): Admission {
  const { store } = books;
  const { household } = books.home();
  const nowMs = books.clock.nowMs();
  const atMs = momentOf(entry.atMs, nowMs);
  const isSane = momentFault(atMs, nowMs) === null && entry.hours >= 0 && entry.hours <= 1e7;
  const equal = isSane ? findEqualReading(store, machine.id, atMs, entry.hours) : null;
  if (equal !== null) return { kind: 'already', reading: equal };
  const known = evidence ?? evidenceOf(books, machine);
  const belief = believeReading(machine, known, household, { atMs, hours: entry.hours }, nowMs, () =>
    otherMeters(books, machine, atMs),
  );
  if (belief.kind === 'refused') return belief;
  const fault = momentFault(atMs, nowMs);
  if (fault !== null) return { kind: 'refused', fault };
  if (belief.kind === 'questionable' && !entry.confirm) return { ...belief, atMs };
  const reading: Reading = {
    id: store.newId('reading'),
    atMs,
    hours: entry.hours,
    about: false,
    door: entry.door,
    by: entry.by,
  };
  addReading(store, { ...reading, machine: machine.id, note: entry.note, enteredAtMs: nowMs });
  const waiting = findEqualAside(store, machine.id, atMs, entry.hours);
  if (waiting !== null) settleAside(store, waiting.id, 'confirmed', nowMs, entry.by);
  // Whoever typed the right number after the wrong one has answered. A sensor has not: nobody looked.
  if (entry.door !== 'feed') {
    const untilMs = endOfDay(dayOf(atMs, household.zone), household.zone);
    answerAsides(store, machine.id, untilMs, reading.id, nowMs, entry.by);
  }
  return { kind: 'counted', reading };
}

function evidenceOf({ store, home }: Books, machine: Machine): Evidence {
  const { zone, hemisphere } = home().household;
  const facts = factsOf(store, [machine.id], zone)[0];
  if (facts === undefined) throw refusal('machine-unknown', 'There is no such machine');
  return gatherEvidence(machine, facts, hemisphere);
}

/** Whole milliseconds. Clocks differ a little: a moment just ahead is now. */
function momentOf(atMs: number, nowMs: number): number {
  const whole = Math.floor(atMs);
  return whole > nowMs && whole <= nowMs + clockSlackMs ? nowMs : whole;
}

/** Why an entry cannot be of this moment, or null. */
export function momentFault(atMs: number, nowMs: number): Fault | null {
  if (!Number.isFinite(atMs) || atMs < 0 || atMs > 32_503_680_000_000) {
    return refusal('instant-out-of-range', 'This is no moment', {
      found: String(atMs),
      remedy: 'Write a day and time.',
    });
  }
  if (atMs > nowMs) {
    return refusal('instant-in-future', 'This moment has not come yet', {
      found: formatInstant(atMs),
      remedy: `It is ${formatInstant(nowMs)} now; write an earlier moment.`,
    });
  }
  return null;
}
