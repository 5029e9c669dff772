import type { Day } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import type { TaskLimits } from './truth/true-limits.js';

/** One task done in the rehearsal, with what was true when it was done. */
export interface LivedService {
  readonly machine: string;
  readonly task: string;
  readonly doneOn: Day;
  readonly trueHours: number;
  /** The message that called for it said that it is done early on purpose. */
  readonly pulledForward: boolean;
  /** Day of the last `parts` notice before its parts were bought, the day it was done where no notice came; null where all was in stock. */
  readonly partsNoticeOn: Day | null;
  /** Its limits just before it was done. */
  readonly limits: TaskLimits;
}

/** A notice as the person got it. */
interface LivedNotice extends SentNotice {
  /** Null for a notice about the household. */
  readonly machine: string | null;
}

/** What a stretch of scripted life brought. */
export interface Diary {
  readonly services: LivedService[];
  readonly notices: LivedNotice[];
  readings: number;
  /** By machine. */
  readonly wastedTrips: Map<string, number>;
}

/** An empty diary. */
export function newDiary(): Diary {
  return { services: [], notices: [], readings: 0, wastedTrips: new Map() };
}
