import type { Caution } from '../cautions.js';
import type { KeepValue, Measurement, Points } from '../task.js';
import type { ShoppingItem, Visit } from './visit.js';

/** A line across the page: the machine changes state. */
interface StateChange {
  readonly kind: 'state';
  readonly text: string;
}

/** One thing to do, to be ticked. */
export interface SheetStep {
  readonly kind: 'step';
  readonly number: number;
  readonly task: string;
  readonly text: string;
  readonly where: string | null;
  readonly tool: string | null;
  readonly unattendedMinutes: number | null;
  readonly caution: Caution | null;
}

/** A value to find and write down, held against its specification. */
export interface SheetMeasurement {
  readonly kind: 'measurement';
  readonly number: number;
  readonly task: string;
  readonly measurement: Measurement;
  /** The limits in words, such as "10 to 13 mm". */
  readonly limits: string;
  /** What a bare number typed here is taken for; null where words are wanted, or any unit has to be written. */
  readonly unit: string | null;
}

interface SheetPoints {
  readonly kind: 'points';
  readonly number: number;
  readonly task: string;
  readonly points: Points;
}

/** Why a job stands on the sheet of a machine whose past nobody knows. */
export const nobodyKnows = 'nobody knows when it was done last';

/** The start of one task on the sheet. */
export interface SheetHeading {
  readonly kind: 'task';
  readonly task: string;
  readonly title: string;
  /** Its share of the sheet's minutes. */
  readonly minutes: number;
  /** Those and the minutes of what a bad finding would bring; null where it brings nothing. */
  readonly minutesIfOut: number | null;
  /** Why it is done now, such as "pulled forward to share the visit". */
  readonly why: string | null;
}

/** A caution that belongs to a whole task or a measurement; it stands directly above what it is about. */
interface SheetCaution {
  readonly kind: 'caution';
  readonly task: string;
  readonly caution: Caution;
}

/** Something to know, such as what is no fault; nothing to tick. */
interface SheetNote {
  readonly kind: 'note';
  readonly task: string;
  readonly text: string;
}

/** What the visit decides: one of these is ticked. */
interface SheetOutcomes {
  readonly kind: 'outcomes';
  readonly number: number;
  readonly task: string;
  readonly outcomes: readonly string[];
}

/** A value without a limit to write down, as found and as left. */
export interface SheetKeep {
  readonly kind: 'keep';
  readonly number: number;
  readonly task: string;
  readonly value: KeepValue;
}

/** Work that only a bad finding brings, such as "5 min, or 45 if it needs adjusting". */
interface SheetIfOut {
  readonly kind: 'if-out';
  readonly task: string;
  readonly minutes: number;
  readonly tools: readonly string[];
  readonly steps: readonly SheetStep[];
}

/** A line of the sheet; they stand in working order. */
export type SheetLine =
  | StateChange
  | SheetHeading
  | SheetCaution
  | SheetNote
  | SheetStep
  | SheetMeasurement
  | SheetPoints
  | SheetOutcomes
  | SheetKeep
  | SheetIfOut;

/** A check before each use: listed beside the visit, never due. */
export interface BeforeUse {
  readonly task: string;
  readonly title: string;
  readonly checks: readonly string[];
}

/** A visit written out in working order. */
export interface Sheet {
  readonly visit: Visit;
  readonly machineName: string;
  /** Those of the visit: the sum of its headings, setting up and putting away among them. */
  readonly minutes: number;
  /** Sentences for its head, such as that it may be spread over several days. */
  readonly head: readonly string[];
  readonly tools: readonly string[];
  readonly shopping: readonly ShoppingItem[];
  /** What only a bad finding would need. */
  readonly perhaps: readonly ShoppingItem[];
  /** The worst dangers, said again at the top. */
  readonly cautions: readonly Caution[];
  readonly lines: readonly SheetLine[];
  /** Whose word comes before this sheet: the machine's manual, local codes, licensed practice. */
  readonly comesFirst: string;
  /** Checks before each use, for the label and the foot of the sheet. */
  readonly beforeUse: readonly BeforeUse[];
  /** What a person noticed since the last visit. */
  readonly noticed: readonly string[];
  /** Not proven to be the quickest order, or why it is not. */
  readonly orderProven: boolean;
}
