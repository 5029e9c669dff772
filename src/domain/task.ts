import type { CautionRef } from './cautions.js';
import type { Day } from './day.js';
import type { Specification } from './specification.js';

/** Whichever limit comes first; `use` is a check before each use: on label and sheet, never due. */
export type Interval = { readonly hours?: number; readonly months?: number } | 'use';

/** Season rules hang on a date (`MM-DD`) or on the household's average frost days, `days` before it; or on the first cold night that
 *  the thermometer tells, where that comes sooner. */
export interface SeasonRule {
  readonly before: 'first-frost' | 'last-frost' | `${number}-${number}`;
  readonly days: number;
  /** A night this cold or colder brings it at once, degrees Celsius. */
  readonly nightsBelow?: number;
}

/** Hours that a task may be early without talk, and late before it counts as overdue. */
interface Tolerance {
  readonly earlyHours?: number;
  readonly lateHours?: number;
}

/** `brief`: started and stopped again at once, so that a cold engine stays cold; `off`: cold or warm. */
export type EngineNeed = 'cold' | 'warm' | 'running' | 'brief' | 'off' | 'any';
type RaisedNeed = 'none' | 'front' | 'rear' | 'any';

/** The machine's state that the work wants; absent: does not matter. */
export interface Needs {
  readonly engine?: EngineNeed;
  readonly raised?: RaisedNeed;
  /** Covers that must be off, from the machine's own list; an empty list: all must be on. */
  readonly covers?: readonly string[];
  readonly fitted?: Readonly<Record<string, 'on' | 'off'>>;
  readonly battery?: 'connected' | 'disconnected';
}

/** One thing the hands do. */
export interface Step {
  readonly do: string;
  readonly where?: string;
  readonly tool?: string;
  /** The caution stands directly above this step. */
  readonly caution?: CautionRef;
  /** Minutes that pass without a hand (draining, settling). */
  readonly unattended?: number;
  /** State that this step wants beyond its task's, such as a running engine; it stays so for the steps after it. */
  readonly needs?: Needs;
  /** Done once the measurements are taken and what a bad one brings is mended, such as a trial, or a guard that goes back on. */
  readonly last?: true;
}

/** Places ticked one by one, such as grease points. */
export interface Points {
  readonly place: string;
  readonly count: number;
  readonly sides?: 'both' | 'left' | 'right' | 'middle';
}

/** What a finding about points is called, beside the ids of measurements, which hold no blank.
 *  Source: common practice, no source. */
export function pointsFinding({ place, sides }: Points): string {
  return `${atPoints}${place}${sides === undefined || sides === 'both' ? '' : ` ${sides}`}`;
}

/** Whether the name of a finding is that of points. */
export function isOfPoints(measurement: string): boolean {
  return measurement.startsWith(atPoints);
}

const atPoints = 'points at ';

/** Something to put in, counted in pieces. */
export interface Part {
  readonly name: string;
  readonly quantity: number;
  /** The owner's own part number; empty until they copied it from their manual. */
  readonly number?: string;
  /** Days from ordering to having it at home. */
  readonly leadDays?: number;
}

/** A grade, and how cold it may get for it. */
export interface FluidChoice {
  readonly grade: string;
  /** Coldest temperature expected until the next change, quantity text such as `-25 C`. */
  readonly coldest?: string;
}

/** Something to fill in. */
export interface Fluid {
  readonly name: string;
  /** Quantity text with unit, such as `4.2 L`. */
  readonly quantity: string;
  /** Fill this share first, then check the level, such as `90 %`. */
  readonly fillFirst?: string;
  /** A demand: any other fluid gets a warning. */
  readonly must?: string;
  /** A preference by coldest temperature. */
  readonly choices?: readonly FluidChoice[];
  readonly leadDays?: number;
}

/** A measurement, look or test that the task takes. */
export interface Measurement {
  readonly id: string;
  readonly name: string;
  readonly specification: Specification;
  /** Where and how it is taken. */
  readonly method?: string;
  /** The value to set within a range, quantity text. */
  readonly aim?: string;
  /** One value each, such as one per wheel. */
  readonly places?: readonly string[];
  /** Smallest step the instrument shows, quantity text such as `1 mm` or `1/16 in`. */
  readonly resolution?: string;
  /** Taken behind the last steps, such as whether the brake holds on a slope once it is adjusted. */
  readonly last?: true;
}

/** What a task adjusts by steps and then checks: it is not done before the value as left is known.
 *  Source: common practice, no source. */
export function adjustedIn({ measure }: { readonly measure: readonly Measurement[] }): readonly Measurement[] {
  return measure.filter(({ specification }) => specification.kind === 'adjustThen');
}

/** A value without a limit, kept as found and as left. */
export interface KeepValue {
  readonly name: string;
  readonly unit: string;
}

/** Work that only a bad finding brings. */
export interface IfOut {
  readonly minutes: number;
  readonly needs?: Needs;
  readonly tools?: readonly string[];
  readonly steps: readonly Step[];
  readonly parts?: readonly Part[];
}

/** Another task that this one brings: `once` right after it with nothing between, at the end of the visit, as its way back
 *  from storage, or after some hours. */
export interface LeadsTo {
  readonly task: string;
  readonly at?: 'once' | 'end' | 'return';
  /** Hours after this task was done. */
  readonly afterHours?: number;
}

/** One thing to do on a machine. Intervals: at least one of every, first, season or `when`; or none: only brought by others. */
export interface Task {
  readonly id: string;
  readonly title: string;
  /** Part of the machine, such as `engine`, under which plan and logbook list it. */
  readonly group?: string;
  readonly every?: Interval;
  readonly first?: { readonly hours?: number; readonly months?: number };
  readonly season?: SeasonRule;
  readonly when?: 'noticed';
  readonly tolerance?: Tolerance;
  /** Fittings without which the task is left out. */
  readonly has?: readonly string[];
  readonly minutes: number;
  readonly by: 'owner' | 'dealer';
  readonly needs?: Needs;
  readonly after?: readonly string[];
  readonly steps: readonly Step[];
  readonly points?: readonly Points[];
  readonly outcomes?: readonly string[];
  readonly cleanAtMost?: number;
  readonly tools?: readonly string[];
  readonly parts: readonly Part[];
  readonly fluids: readonly Fluid[];
  readonly measure: readonly Measurement[];
  readonly ifOut?: IfOut;
  /** It was found outside its limits and left so: what that brings is in its steps, parts and minutes. Filled in by mending, never
   *  read from a plan. */
  readonly mending?: { readonly minutes: number; readonly foundOn: Day };
  readonly countsAs?: readonly string[];
  readonly leadsTo?: readonly LeadsTo[];
  readonly keep?: readonly KeepValue[];
  readonly cautions: readonly CautionRef[];
  readonly notes?: readonly string[];
  readonly source: string;
}

/** A service plan: the tasks of one kind of machine, in the order of its parts. */
export interface Plan {
  readonly id: string;
  readonly title: string;
  readonly source: string;
  readonly tasks: readonly Task[];
}

/** Hours past the limit that still count as on time: the task's own, else a tenth of the interval.
 *  Source: common practice, no source. */
export function lateToleranceHours(task: Task, intervalHours: number): number {
  return task.tolerance?.lateHours ?? intervalHours / 10;
}
