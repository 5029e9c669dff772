import type { Day } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import type { Due } from '../domain/results/due.js';

/** One task done in the rehearsal, with what was true when it was done. */
export interface LivedService {
  readonly machine: string;
  readonly task: string;
  readonly doneOn: Day;
  readonly trueHours: number;
  readonly pulledForward: boolean;
  /** Day of the `parts` notice for it; null where none was needed. */
  readonly partsNoticeOn: Day | null;
  /** What the service thought of it just before. */
  readonly due: Due;
  readonly record: string;
}

/** A notice as the person got it. */
export interface LivedNotice extends SentNotice {
  readonly machine: string;
}

/** What a stretch of scripted life brought. */
export interface Diary {
  readonly services: LivedService[];
  readonly notices: LivedNotice[];
  readings: number;
  /** By machine. */
  readonly wastedTrips: Map<string, number>;
}

export function newDiary(): Diary {
  return { services: [], notices: [], readings: 0, wastedTrips: new Map() };
}
