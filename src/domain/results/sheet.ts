import type { Caution } from '../cautions.js';
import type { Measurement, Points } from '../task.js';
import type { ShoppingItem, Visit } from './visit.js';

/** A line across the page: the machine changes state. */
export interface StateChange {
  readonly kind: 'state';
  readonly text: string;
  readonly minutes: number;
}

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

export interface SheetMeasurement {
  readonly kind: 'measurement';
  readonly number: number;
  readonly task: string;
  readonly measurement: Measurement;
  /** The limits in words, such as "10 to 13 mm". */
  readonly limits: string;
}

export interface SheetPoints {
  readonly kind: 'points';
  readonly number: number;
  readonly task: string;
  readonly points: Points;
}

/** The start of one task on the sheet. */
export interface SheetHeading {
  readonly kind: 'task';
  readonly task: string;
  readonly title: string;
  readonly minutes: number;
  /** Why it is done now, such as "pulled forward to share the visit". */
  readonly why: string | null;
}

export type SheetLine = StateChange | SheetHeading | SheetStep | SheetMeasurement | SheetPoints;

/** A visit written out in working order. */
export interface Sheet {
  readonly visit: Visit;
  readonly machineName: string;
  readonly minutes: number;
  readonly tools: readonly string[];
  readonly shopping: readonly ShoppingItem[];
  /** The worst dangers, said again at the top. */
  readonly cautions: readonly Caution[];
  readonly lines: readonly SheetLine[];
  /** What a person noticed since the last visit. */
  readonly noticed: readonly string[];
  /** Not proven to be the quickest order, or why it is not. */
  readonly orderProven: boolean;
}
