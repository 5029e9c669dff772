import { type Day, daysBetween } from '../../domain/day.js';
import { type MachineFacts, noFacts } from '../../domain/facts.js';
import type { Household } from '../../domain/household.js';
import type { Machine } from '../../domain/machine.js';
import type { LimitKind } from '../../domain/results/due.js';
import type { Task } from '../../domain/task.js';
import { type LastDone, lastDone } from '../../forecast/last-done.js';
import { type CalendarLimit, type HoursLimit, type IntervalStart, limitsOf } from '../../forecast/limits.js';
import type { TrueHours } from './true-hours.js';

/** What a plan and the records say of a task, without any forecast. */
export interface TaskLimits {
  /** The nearest hours limit; null where there is none. */
  readonly hours: HoursLimit | null;
  /** The soonest calendar limit; null where there is none. */
  readonly calendar: CalendarLimit | null;
  readonly lastDay: Day | null;
  /** Times done so far. */
  readonly cycle: number;
}

/** The limit that truly comes first. */
export interface TrueDue {
  readonly limit: LimitKind;
  readonly day: Day;
}

/** The limits of a task since it was last done. Null for checks before each use and tasks that only others bring.
 *  @param facts  of this machine; undefined: nothing is stored yet
 *  @param meter  the truth, for instants at which nobody read the hours; null: what was written down then is taken for it */
export function limitsSinceDone(
  machine: Machine,
  task: Task,
  facts: MachineFacts | undefined,
  household: Household,
  meter: TrueHours | null,
): TaskLimits | null {
  const known = facts ?? noFacts(machine.id);
  const last = lastDone(machine, task, known, household.zone);
  const limits = limitsOf(machine, task, last, (one) => trueStart(one, meter), known, household);
  const hours = [...limits.hours].sort((a, b) => a.targetHours - b.targetHours)[0] ?? null;
  const calendar = [...limits.calendar].sort((a, b) => a.day.localeCompare(b.day))[0] ?? null;
  if (hours === null && calendar === null) return null;
  return { hours, calendar, lastDay: last.day, cycle: last.cycle };
}

function trueStart({ hours, unreadAtMs }: LastDone, meter: TrueHours | null): IntervalStart | null {
  if (unreadAtMs !== null && meter !== null) return { hours: meter.at(unreadAtMs), counted: null };
  return hours === null ? null : { hours, counted: null };
}

/** Which limit truly comes first, and on which day, had the task not been done: hours where both fall on one day.
 *  Null where a task has no limit. */
export function trueDueOf(limits: TaskLimits, meter: TrueHours): TrueDue | null {
  const { hours, calendar } = limits;
  const hoursDay = hours === null ? null : meter.dayReaching(hours.targetHours);
  if (hours !== null && hoursDay !== null && (calendar === null || hoursDay <= calendar.day)) {
    return { limit: hours.kind, day: hoursDay };
  }
  return calendar === null ? null : { limit: calendar.kind, day: calendar.day };
}

/** Share of the interval that is left before the nearer limit, as somebody at the machine sees it: hours on the meter, days on
 *  the calendar. Negative once a limit is passed; null where the task has no limit.
 *  @param hours  as read; null: only the calendar is looked at */
export function shareLeft(limits: TaskLimits, hours: number | null, today: Day): number | null {
  const shares: number[] = [];
  if (limits.hours !== null && hours !== null) {
    shares.push((limits.hours.targetHours - hours) / limits.hours.intervalHours);
  }
  if (limits.calendar !== null) shares.push(daysBetween(today, limits.calendar.day) / limits.calendar.intervalDays);
  return shares.length === 0 ? null : Math.min(...shares);
}
