import type { Day } from './day.js';
import type { Task } from './task.js';

/** When in the year the machine is used, by the owner's word. */
export const seasonWords = ['even', 'summer', 'winter', 'spring-autumn', 'spring', 'autumn', 'unknown'] as const;
/** One of `seasonWords`. */
export type SeasonWord = (typeof seasonWords)[number];

/** What the owner expects of a year; `hoursPerYear` absent means that they do not know. */
export interface Expectation {
  readonly hoursPerYear?: number;
  readonly season: SeasonWord;
}

/** The meter in use: `last` is where the one before it stopped, `first` where this one began. */
export interface MeterChange {
  readonly atMs: number;
  readonly lastHours: number;
  readonly firstHours: number;
}

/** How hours of a machine are known: read off a meter, or only from runs that people tell. */
export type Meter =
  | {
      readonly kind: 'meter';
      readonly counts: 'clock' | 'engine-speed';
      /** The first reading, which the owner wrote down in the configuration. */
      readonly first?: { readonly hours: number; readonly atMs: number; readonly about: boolean };
      readonly changes: readonly MeterChange[];
    }
  | { readonly kind: 'none' };

/** When the meter in use was put in, Unix milliseconds: the newest change up to now; null where it is the first one, or there is none. */
export function meterSince(meter: Meter, nowMs: number): number | null {
  const past = meter.kind === 'none' ? [] : meter.changes.map(({ atMs }) => atMs).filter((atMs) => atMs <= nowMs);
  return past.length === 0 ? null : Math.max(...past);
}

interface FeedCommon {
  readonly topic: string;
  /** RFC 6901 pointer into a JSON payload; absent: the payload itself. */
  readonly pointer?: string;
  /** Pointer to the device's own time, ISO 8601 or Unix seconds. */
  readonly timePointer?: string;
  readonly aliveTopic?: string;
  /** Raw value times `scale` plus `offset` gives seconds, hours or volts. */
  readonly scale: number;
  readonly offset: number;
  /** Minutes of silence after which coverage ends. */
  readonly silentAfterMinutes: number;
}

/** A run-time sensor on MQTT. */
export type Feed =
  | (FeedCommon & { readonly kind: 'running'; readonly yes: readonly string[]; readonly no: readonly string[] })
  | (FeedCommon & { readonly kind: 'run-seconds' })
  | (FeedCommon & { readonly kind: 'meter-hours' })
  | (FeedCommon & {
      readonly kind: 'voltage';
      /** Running above this many volts… */
      readonly aboveVolts: number;
      /** …and not running below this many, each for at least `holdSeconds`. */
      readonly belowVolts: number;
      readonly holdSeconds: number;
    });

/** What was done before this service knew the machine. */
export type LastDone =
  | { readonly kind: 'done'; readonly hours?: number; readonly day?: Day }
  /** Nobody knows: one visit for getting to know the machine, never a late notice. */
  | { readonly kind: 'unknown' }
  /** Bought in good order: counts as done on the day the machine came, except for a first time or a season that still lay ahead then. */
  | { readonly kind: 'fine-as-bought' };

/** A machine as its file describes it, with its plan filled in. */
export interface Machine {
  /** File name without `.yaml`: lower-case letters, digits and dashes. */
  readonly id: string;
  readonly name: string;
  readonly planId: string;
  /** Fittings: what the machine has. */
  readonly has: readonly string[];
  readonly covers: readonly string[];
  readonly places: readonly string[];
  readonly meter: Meter;
  readonly expect: Expectation;
  readonly feed?: Feed;
  /** Day from which this service answers for the machine; intervals without a known last service count from it. */
  readonly since: Day;
  /** Rests from day to day (both included): no notices. */
  readonly resting?: { readonly from: Day; readonly until?: Day };
  readonly gone: boolean;
  readonly last: Readonly<Record<string, LastDone>>;
  /** Tasks the owner retired, with their reason. */
  readonly never: Readonly<Record<string, string>>;
  /** The plan's tasks for this machine: fittings considered, the owner's variants applied, retired ones left out. */
  readonly tasks: readonly Task[];
}
