import type { Day } from './day.js';
import type { NoticeKind } from './household.js';
import type { Money } from './money.js';
import type { Night } from './night.js';
import type { VerdictKind } from './results/verdict.js';

/** By which door a fact came in. */
export type Door = 'page' | 'link' | 'command' | 'import' | 'feed' | 'visit' | 'configuration' | 'rehearsal';

/** Hours seen on the meter that was in use at `atMs`. Only counted readings stand in `MachineFacts.readings`. */
export interface Reading {
  readonly id: string;
  readonly atMs: number;
  /** Meter hours, finite, >= 0. */
  readonly hours: number;
  /** Where a machine's first hours are only known roughly. */
  readonly about: boolean;
  readonly door: Door;
  readonly by: string | null;
}

/** A questionable reading, kept aside until a person confirms or drops it. */
export interface AsideReading {
  readonly id: string;
  readonly atMs: number;
  readonly hours: number;
  /** Plain words, such as "That is 1,281 h more than in April". */
  readonly question: string;
  /** What was probably meant. */
  readonly suggestionHours: number | null;
  readonly by: string | null;
}

/** Half-open span of time in UTC milliseconds. */
export interface Span {
  readonly fromMs: number;
  readonly toMs: number;
}

/** "Ran it about 40 minutes", told by a person, for a machine without a meter. */
export interface ToldRun {
  readonly id: string;
  readonly atMs: number;
  readonly minutes: number;
  readonly by: string | null;
}

/** "Not used since": nothing ran from `sinceMs` until `toldAtMs`. What ran between the last reading and `sinceMs` stays open. */
export interface NotUsed {
  readonly sinceMs: number;
  readonly toldAtMs: number;
}

/** One thing that was told of a machine's hours, as it was entered: a reading, a run, or that nothing ran. */
export type HoursEntry = {
  readonly id: string;
  readonly machine: string;
  /** When it was so: read, told, or the run's end. */
  readonly atMs: number;
  readonly door: Door;
  readonly by: string | null;
  /** Null while it counts. */
  readonly takenBackAtMs: number | null;
} & (
  | {
      readonly kind: 'reading';
      readonly hours: number;
      /** The record that it came with, where that stands: they are taken back together. */
      readonly record: string | null;
    }
  | { readonly kind: 'run'; readonly minutes: number }
  | { readonly kind: 'not-used'; readonly sinceMs: number }
);

/** What a visit found at one measurement. Texts are as typed; the verdict is that of the day. */
export interface Finding {
  readonly task: string;
  readonly measurement: string;
  readonly place: string | null;
  readonly found: string | null;
  readonly left: string | null;
  readonly verdict: VerdictKind | null;
  readonly note: string | null;
}

/** What was paid for the work of a record, as one amount; a later word replaces it. */
export interface Paid {
  readonly id: string;
  readonly money: Money;
  /** What for, in the person's words. */
  readonly what: string | null;
  readonly atMs: number;
  readonly by: string | null;
}

/** What was done. Never deleted, only voided. */
export interface ServiceRecord {
  readonly id: string;
  readonly machine: string;
  readonly visit: string | null;
  readonly tasks: readonly string[];
  readonly day: Day;
  /** Meter hours then, as read or as estimated; null where nothing was known. */
  readonly hours: number | null;
  readonly hoursKnown: 'read' | 'estimated' | 'unknown';
  readonly by: string | null;
  readonly door: Door;
  readonly note: string | null;
  /** Minutes spent, where told. */
  readonly minutes: number | null;
  readonly findings: readonly Finding[];
  readonly enteredAtMs: number;
  /** Absent: nobody said what it cost. */
  readonly paid?: Paid;
}

/** What a person answered to a notice or on a page. */
export type Answer =
  /** "Ask me on …": nothing about these tasks before that day. */
  | { readonly kind: 'ask-on'; readonly tasks: readonly string[]; readonly day: Day; readonly atMs: number }
  /** "Leave it out this time": the interval starts anew without a record. */
  | {
      readonly kind: 'leave-out';
      readonly tasks: readonly string[];
      readonly day: Day;
      readonly hours: number | null;
      readonly atMs: number;
    }
  /** "Have it": parts and fluids in hand for these tasks until they are done. */
  | { readonly kind: 'have-parts'; readonly tasks: readonly string[]; readonly atMs: number }
  /** "Not today: make it a visit of its own": what was found outside its limits there is mended in a visit without other work. */
  | { readonly kind: 'own-visit'; readonly tasks: readonly string[]; readonly atMs: number };

/** An answer as it was given, whether it stands or was taken back. */
export interface GivenAnswer {
  readonly id: string;
  readonly machine: string;
  readonly answer: Answer;
  readonly by: string | null;
  /** Null while it stands. */
  readonly takenBackAtMs: number | null;
}

/** A visit that was announced: its id never changes, its revisions are kept. */
export interface AnnouncedVisit {
  readonly id: string;
  readonly tasks: readonly string[];
  readonly day: Day;
  /** 1 at the first announcement; regrouping makes the next. */
  readonly revision: number;
  readonly announcedAtMs: number;
  readonly state: 'open' | 'done' | 'dropped';
}

/** A notice that was written to the outbox. */
export interface SentNotice {
  readonly id: string;
  /** Rows sent as one message share it. */
  readonly message: string;
  readonly kind: NoticeKind;
  readonly visit: string | null;
  /** By their ids; of a `trouble`, the keys of what is wrong. */
  readonly tasks: readonly string[];
  readonly to: string;
  readonly atMs: number;
  /** Working day that the notice named. */
  readonly proposedDay: Day | null;
}

/** What may be said of something noticed once it was seen to. */
export const helpedAnswers = ['yes', 'no', 'cannot-tell'] as const;
/** One of them. */
export type HelpedAnswer = (typeof helpedAnswers)[number];

/** What a person said afterwards: whether seeing to it helped. */
export interface Helped {
  readonly id: string;
  readonly answer: HelpedAnswer;
  readonly atMs: number;
  readonly by: string | null;
  /** When that was seen to which it is about. */
  readonly seenToAtMs: number;
  /** The record of the visit that saw to it; null where none did. */
  readonly record: string | null;
}

/** Something a person noticed between visits. */
export interface Noticed {
  readonly id: string;
  readonly atMs: number;
  readonly text: string;
  readonly state: 'open' | 'answered';
  /** When it was seen to, and the record of the visit that did, where one did; null while it is open. */
  readonly seenTo: { readonly atMs: number; readonly record: string | null } | null;
  /** What was said of it afterwards, oldest first; what was taken back is left out. */
  readonly helped: readonly Helped[];
}

/** Exact count of a feed. */
export interface FeedTotal {
  readonly runSeconds: number;
  readonly lastAtMs: number | null;
  /** The sensor said that it goes, or its last will did, and was not heard since; absent: it did not. */
  readonly isAway?: boolean;
}

/** Everything stored about one machine, sorted by time, voided facts left out. */
export interface MachineFacts {
  readonly machine: string;
  readonly readings: readonly Reading[];
  readonly aside: readonly AsideReading[];
  readonly toldRuns: readonly ToldRun[];
  readonly notUsed: readonly NotUsed[];
  readonly runs: readonly Span[];
  readonly coverage: readonly Span[];
  readonly feedTotal: FeedTotal | null;
  readonly records: readonly ServiceRecord[];
  readonly answers: readonly Answer[];
  readonly visits: readonly AnnouncedVisit[];
  readonly sent: readonly SentNotice[];
  /** `late` notices that were written and never got through, oldest first: nobody heard them, but whoever is told after others waits
   *  from then on. */
  readonly lateUnheard: readonly SentNotice[];
  readonly noticed: readonly Noticed[];
  /** Parts and fluids at home, by name in lower case: count, or litres for fluids. */
  readonly stock: Readonly<Record<string, number>>;
}

/** All facts of the household. `version` changes whenever any of them does. */
export interface Facts {
  readonly version: number;
  readonly machines: readonly MachineFacts[];
  /** Notices about no machine (`trouble`), and what a way out reported. */
  readonly householdSent: readonly SentNotice[];
  /** How cold each day was, oldest first; absent where no thermometer is followed. */
  readonly nights?: readonly Night[];
}

/** A machine about which nothing is stored yet. */
export function noFacts(machine: string): MachineFacts {
  return {
    machine,
    readings: [],
    aside: [],
    toldRuns: [],
    notUsed: [],
    runs: [],
    coverage: [],
    feedTotal: null,
    records: [],
    answers: [],
    visits: [],
    sent: [],
    lateUnheard: [],
    noticed: [],
    stock: {},
  };
}
