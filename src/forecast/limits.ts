import { addMonths, type Day, dayNumber } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { type MeterHours, meterHours } from '../domain/meter-hours.js';
import type { CountedFrom, LimitKind } from '../domain/results/due.js';
import { lateToleranceHours, type Task } from '../domain/task.js';
import { firstHours, type LastDone, lastDone } from './last-done.js';
import { seasonDay } from './season.js';

/** A limit that the meter reaches. */
export interface HoursLimit {
  readonly kind: LimitKind;
  readonly targetHours: MeterHours;
  /** The instant from which the hours count, where nobody read the meter then; null: the target is the meter's own. */
  readonly counted: CountedFrom | null;
  readonly intervalHours: number;
  readonly toleranceHours: number;
}

/** The hours from which an interval counts. */
export interface IntervalStart {
  readonly hours: number;
  /** Null where they were read. */
  readonly counted: CountedFrom | null;
}

/** A limit that the calendar reaches on a certain day. */
export interface CalendarLimit {
  readonly kind: LimitKind;
  readonly day: Day;
  readonly intervalDays: number;
  readonly toleranceDays: number;
}

/** Days past a calendar limit that still count as on time: a tenth of the interval, at least a week. Common practice, no source. */
const lateToleranceDays = (intervalDays: number) => Math.max(7, Math.round(intervalDays / 10));
/** Hours limits that another task brings are short: they may be late by at least this much. Common practice, no source. */
const leastToleranceHours = 1;
/** What was found outside its limits is to be mended at once; past this many days it is late. Common practice, no source. */
const mendToleranceDays = 7;
/** What counts as its interval, so that waiting for other work is hardly worth it. Common practice, no source. */
const mendIntervalDays = 28;
/** A season's work done this long before its day is of no use for that season: nobody puts a mower away in August. Common
 *  practice, no source. */
const seasonSpanDays = 60;

/** The limits of a task, counted from when it was last done; whichever comes first makes it due.
 *  @param last     from lastDone
 *  @param startOf  where the hours of an interval start, said anew where nobody read them then; null: its hours limits are left out
 *  @returns        empty lists for checks before each use, for noticed tasks, and for tasks that only others bring */
export function limitsOf(
  machine: Machine,
  task: Task,
  last: LastDone,
  startOf: (last: LastDone) => IntervalStart | null,
  facts: MachineFacts,
  household: Household,
): { hours: HoursLimit[]; calendar: CalendarLimit[] } {
  const hours: HoursLimit[] = [];
  const calendar: CalendarLimit[] = [];
  const startDay = last.day ?? machine.since;
  const every = task.every === 'use' ? undefined : task.every;
  const start = every?.hours === undefined ? null : startOf(last);
  if (every?.hours !== undefined && start !== null) hours.push(hoursLimit(task, 'hours', start, every.hours));
  if (every?.months !== undefined) calendar.push(calendarLimit('months', startDay, every.months));
  if (isBreakIn(machine, task, last, facts)) {
    // Break-in counts from new: the meter's own hours, not hours since this service knows the machine.
    if (task.first?.hours !== undefined)
      hours.push(hoursLimit(task, 'break-in', { hours: 0, counted: null }, task.first.hours));
    if (task.first?.months !== undefined) calendar.push(calendarLimit('break-in', machine.since, task.first.months));
  }
  if (task.season !== undefined) {
    const day = seasonDay(task.season, startDay, last.isDone, household);
    // Late at half of the days before it: an average frost comes earlier in half of the years. Common practice, no source.
    const toleranceDays = Math.max(7, Math.round(task.season.days / 2));
    calendar.push({ kind: 'season', day, intervalDays: seasonSpanDays, toleranceDays });
  }
  hours.push(...broughtLimits(machine, task, last, startOf, facts, household));
  return { hours, calendar };
}

/** The limit of a task that was found outside its limits and left so: due since that day.
 *  @param foundOn  day of the finding */
export function mendingLimit(foundOn: Day): CalendarLimit {
  return { kind: 'noticed', day: foundOn, intervalDays: mendIntervalDays, toleranceDays: mendToleranceDays };
}

function hoursLimit(task: Task, kind: LimitKind, start: IntervalStart, intervalHours: number): HoursLimit {
  const targetHours = meterHours(start.hours + intervalHours);
  const toleranceHours = lateToleranceHours(task, intervalHours);
  return { kind, targetHours, counted: start.counted, intervalHours, toleranceHours };
}

function calendarLimit(kind: LimitKind, from: Day, months: number): CalendarLimit {
  const day = addMonths(from, months);
  const intervalDays = dayNumber(day) - dayNumber(from);
  return { kind, day, intervalDays, toleranceDays: lateToleranceDays(intervalDays) };
}

/** Only a machine that came new enough, and only while the task was never done. */
function isBreakIn(machine: Machine, task: Task, last: LastDone, facts: MachineFacts): boolean {
  if (task.first === undefined || last.isDone || last.unknown || last.cycle > 0) return false;
  if (machine.meter.kind === 'meter' && machine.meter.changes.length > 0) return false;
  const first = firstHours(machine, facts);
  return task.first.hours === undefined || (first !== null && first < task.first.hours);
}

/** "Again after 5 h": brought by another task that was done after this one. */
function broughtLimits(
  machine: Machine,
  task: Task,
  last: LastDone,
  startOf: (last: LastDone) => IntervalStart | null,
  facts: MachineFacts,
  household: Household,
): HoursLimit[] {
  const limits: HoursLimit[] = [];
  for (const other of machine.tasks) {
    for (const lead of other.leadsTo ?? []) {
      if (lead.task !== task.id || lead.afterHours === undefined) continue;
      const done = lastDone(machine, other, facts, household.zone);
      if (done.cycle === 0 || done.day === null) continue;
      const start = startOf(done);
      if (start === null) continue;
      const isAnswered =
        last.cycle > 0 && last.day !== null && (last.day > done.day || (startOf(last)?.hours ?? 0) > start.hours);
      if (isAnswered) continue;
      const toleranceHours = task.tolerance?.lateHours ?? Math.max(leastToleranceHours, lead.afterHours / 10);
      limits.push({
        kind: 'hours',
        targetHours: meterHours(start.hours + lead.afterHours),
        counted: start.counted,
        intervalHours: lead.afterHours,
        toleranceHours,
      });
    }
  }
  return limits;
}
