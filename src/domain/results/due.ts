import type { Day } from '../day.js';
import type { MeterHours } from '../meter-hours.js';

/** What brings a task: `noticed` by a person, `use` before each use. */
export type LimitKind = 'hours' | 'months' | 'season' | 'break-in' | 'noticed' | 'use';

/** Three quantiles of something uncertain, in its own unit. */
export interface Spread<T> {
  readonly p10: T;
  readonly p50: T;
  readonly p90: T;
}

/** An instant at which nobody read the meter, from which hours are counted. */
export interface CountedFrom {
  readonly atMs: number;
  /** What is said now of the meter at that instant. How far off that is does not matter to whoever counts from here. */
  readonly hours: number;
}

/** Chance that the limit is reached by the end of a day: `p[i]` at `from` + `offsets[i]` days, never falling. */
export interface DueCurve {
  readonly from: Day;
  /** Ascending whole days; straight lines between them. */
  readonly offsets: readonly number[];
  readonly p: readonly number[];
}

/** When one task comes due. */
export interface Due {
  readonly machine: string;
  readonly task: string;
  /** The limit most likely to come first. */
  readonly limit: LimitKind;
  /** Null where no limit is set or it lies beyond ten years. */
  readonly day: Spread<Day> | null;
  /** First of all limits. Null where `day` is null. */
  readonly curve: DueCurve | null;
  /** First of all limits, each moved by the tolerance: being past this is late. Null where `day` is null. */
  readonly lateCurve: DueCurve | null;
  /** Meter hours at which the hours limit is reached. */
  readonly targetHours: MeterHours | null;
  /** Hours of the interval that the hours limit measures (first.hours for break-in). */
  readonly intervalHours: number | null;
  readonly toleranceHours: number | null;
  /** The calendar limit's day. */
  readonly calendarDay: Day | null;
  /** Interval in days, for what being early wastes: calendar interval, or the hours interval at the expected pace. */
  readonly intervalDays: number | null;
  /** Where nobody read the meter when the interval began (that of the hours limit, where there is one): hours count from that instant on.
   *  Null where it was read. */
  readonly countedFrom: CountedFrom | null;
  /** Last time done (or left out): day, and hours, which are what is said now where nobody read them then. */
  readonly lastDay: Day | null;
  readonly lastHours: number | null;
  /** Nobody knows when it was last done: belongs to the visit for getting to know the machine. */
  readonly unknownLast: boolean;
  /** Times done so far, left-out ones counted: names the cycle. */
  readonly cycle: number;
}
