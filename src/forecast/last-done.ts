import { hasFirstTimeAhead } from '../domain/break-in.js';
import { type Day, dayNumber, dayOf, endOfDay, hourMs, startOfDay, type Zone } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { Task } from '../domain/task.js';
import { carryHours } from '../hours/evidence.js';

/** Where the interval of a task starts. */
export interface LastDone {
  /** Null only where nobody knows. */
  readonly day: Day | null;
  /** On the meter in use now, as written down then; null where nobody did. */
  readonly hours: number | null;
  /** The instant, where the hours were not read then but estimated, or are not known: what is said of it changes with every reading since.
   *  Null where the hours stand fast, and where nobody knows the day. */
  readonly unreadAtMs: number | null;
  /** Nobody knows when it was last done. */
  readonly unknown: boolean;
  /** Times done or left out since this service knows the machine. */
  readonly cycle: number;
  /** Whether it was ever done as far as anyone knows: false for intervals that merely start on the day the machine came. */
  readonly isDone: boolean;
}

/** When a task was last done: the newest record of it or of a task that counts as it, or an answer that left it out; else what the
 *  configuration says; else the day and first hours of the machine. `fine-as-bought` does not stand for a first time that still
 *  lay ahead when the machine came, nor for the work of a season: a machine in good order in July is not yet ready for frost.
 *  @param facts  voided records are left out already
 *  @param zone   of the household, for the days of meter changes
 *  @returns      a record and an answer of one day: the record; hours that a later reading belies count as not read */
export function lastDone(machine: Machine, task: Task, facts: MachineFacts, zone: Zone): LastDone {
  const changes = machine.meter.kind === 'meter' ? machine.meter.changes : [];
  // A bare day is taken at noon; an entry of the same day says the hour.
  const within = (day: Day, atMs: number | null) =>
    atMs !== null && dayOf(atMs, zone) === day ? atMs : startOfDay(day, zone) + 12 * hourMs;
  const onMeterNow = (hours: number | null | undefined, day: Day, atMs: number | null) => {
    if (hours === null || hours === undefined) return null;
    return changes.length === 0 ? hours : carryHours(changes, hours, within(day, atMs));
  };
  const counting = new Set([
    task.id,
    ...machine.tasks.filter((other) => other.countsAs?.includes(task.id)).map((other) => other.id),
  ]);
  const events: { day: Day; hours: number | null; isRead: boolean; rank: number; atMs: number }[] = [];
  for (const record of facts.records) {
    if (!record.tasks.some((id) => counting.has(id))) continue;
    const isRead = record.hoursKnown === 'read';
    events.push({ day: record.day, hours: record.hours, isRead, rank: 1, atMs: record.enteredAtMs });
  }
  for (const answer of facts.answers) {
    if (answer.kind !== 'leave-out' || !answer.tasks.includes(task.id)) continue;
    const isRead = facts.readings.some(({ hours, atMs }) => hours === answer.hours && dayOf(atMs, zone) === answer.day);
    events.push({ day: answer.day, hours: answer.hours, isRead, rank: 0, atMs: answer.atMs });
  }
  const [newest] = events.sort((a, b) => dayNumber(b.day) - dayNumber(a.day) || b.rank - a.rank || b.atMs - a.atMs);
  if (newest !== undefined) {
    const hours = onMeterNow(newest.hours, newest.day, newest.atMs);
    const isRead = newest.isRead && !isBelied(newest.hours, hours, newest.day, changes, facts, zone);
    const unreadAtMs = isRead ? null : within(newest.day, newest.atMs);
    return { day: newest.day, hours, unreadAtMs, unknown: false, cycle: events.length, isDone: true };
  }
  const told = machine.last[task.id];
  const first = firstHours(machine, facts);
  if (told?.kind === 'unknown')
    return { day: null, hours: null, unreadAtMs: null, unknown: true, cycle: 0, isDone: false };
  if (told?.kind === 'done') {
    const day = told.day ?? machine.since;
    const hours = told.hours === undefined && told.day === undefined ? first : onMeterNow(told.hours, day, null);
    const unreadAtMs = hours === null ? within(day, null) : null;
    return { day, hours, unreadAtMs, unknown: false, cycle: 0, isDone: true };
  }
  const isDone =
    told?.kind === 'fine-as-bought' && task.season === undefined && !hasFirstTimeAhead(machine, task, first);
  const unreadAtMs = first === null ? within(machine.since, null) : null;
  return { day: machine.since, hours: first, unreadAtMs, unknown: false, cycle: 0, isDone };
}

/** Whether hours written down as read were a slip: the reading that they came from was taken back, and the meter showed less since.
 *  @param written  as written down
 *  @param hours    the same on the meter in use now */
function isBelied(
  written: number | null,
  hours: number | null,
  day: Day,
  changes: Parameters<typeof carryHours>[0],
  facts: MachineFacts,
  zone: Zone,
): boolean {
  if (hours === null) return false;
  const [fromMs, toMs] = [startOfDay(day, zone), endOfDay(day, zone)];
  const since = facts.readings.filter(({ atMs }) => atMs >= fromMs);
  if (since.some((reading) => reading.hours === written && reading.atMs <= toMs)) return false;
  return since.some((reading) => carryHours(changes, reading.hours, reading.atMs) < hours - 1e-9);
}

/** The first hours known of a machine, on the meter in use now: the configured first value or the oldest reading, whichever is older;
 *  0 for a machine without a meter; null where nothing is known. */
export function firstHours(machine: Machine, facts: MachineFacts): number | null {
  if (machine.meter.kind === 'none') return 0;
  const { first, changes } = machine.meter;
  const oldest = facts.readings[0];
  const reading = first !== undefined && (oldest === undefined || first.atMs <= oldest.atMs) ? first : oldest;
  return reading === undefined ? null : carryHours(changes, reading.hours, reading.atMs);
}
