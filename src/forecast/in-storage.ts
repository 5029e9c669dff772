import { type Day, dayNumber, dayNumbered, endOfDay, minuteMs, type Zone } from '../domain/day.js';
import type { MachineFacts, ServiceRecord } from '../domain/facts.js';
import { type LayUp, layUpsOf } from '../domain/lay-up.js';
import type { Machine } from '../domain/machine.js';

/** Days of a machine in storage, by their numbers, both included: it is not used and not worked on, but for its way back. */
export interface Stored {
  /** The day after it is laid up. */
  readonly from: number;
  /** The day before it comes back. */
  readonly until: number;
}

/** A storage longer than this was forgotten to be ended, days. Common practice, no source. */
const longestDays = 330;
/** A year as whole weeks, so that a way back planned for a Saturday falls on one the year after, days. */
const yearOfWeeks = 364;
/** Running longer than this after it was laid up tells that it is in use, minutes: laying up takes a run of its own. Common practice, no source. */
const inUseFromMinutes = 30;
/** As `inUseFromMinutes`, by the meter, hours: it may have been read roughly. */
const inUseFromHours = 1;

/** The day on which a machine was laid up, where that was recorded, its way back was not, and nothing since says that it is in
 *  use; null otherwise.
 *  Source: common practice, no source. */
export function laidUpOn(machine: Machine, facts: MachineFacts, today: Day, zone: Zone): Day | null {
  const days = layUpsOf(machine.tasks).flatMap((layUp) => openStorage(layUp, machine, facts, today, zone) ?? []);
  return days.sort().at(-1) ?? null;
}

/** The stretches in storage from today on: the one that lasts, and those that the plan's seasons bring within `horizonDays`.
 *  @param nextDay  number of the day on which a task of laying up or of the way back is to be done next; null: not known
 *  @returns ascending where the plan has one way into storage; [] where nothing is laid up
 *  Source: own policy. */
export function storagesAhead(
  machine: Machine,
  facts: MachineFacts,
  nextDay: (task: string) => number | null,
  today: number,
  horizonDays: number,
  zone: Zone,
): Stored[] {
  return layUpsOf(machine.tasks).flatMap((layUp) => {
    const backAt = nextDay(layUp.back);
    if (backAt === null) return [];
    const stretches: Stored[] = [];
    const push = (from: number, until: number) => {
      if (from <= until && until - from <= longestDays) stretches.push({ from, until });
    };
    const since = openStorage(layUp, machine, facts, dayNumbered(today), zone);
    if (since !== null && backAt - dayNumber(since) <= longestDays) {
      // Not brought back when it should have been, it rests on.
      push(dayNumber(since) + 1, Math.max(backAt, today) - 1);
    }
    const into = layUp.into.map(nextDay).filter((day) => day !== null);
    if (into.length === 0) return stretches;
    for (let from = Math.max(today, Math.min(...into)) + 1; from <= today + horizonDays; from += yearOfWeeks) {
      let until = backAt;
      while (until <= from) until += yearOfWeeks;
      push(from, until - 1);
    }
    return stretches;
  });
}

/** The last stretch in storage that was ended by a record of its way back: what came due meanwhile counts from then.
 *  @returns null where the plan has no storage, or none was both begun and ended
 *  Source: own policy. */
export function lastStored(machine: Machine, facts: MachineFacts): Stored | null {
  const ended = layUpsOf(machine.tasks).flatMap(({ into, back }) => {
    const backDay = newestOf(facts, [back])?.day;
    if (backDay === undefined) return [];
    const begun = facts.records.filter((r) => r.day < backDay && r.tasks.some((task) => into.includes(task)));
    const from = begun
      .map(({ day }) => dayNumber(day))
      .sort((a, b) => a - b)
      .at(-1);
    const until = dayNumber(backDay) - 1;
    return from === undefined || from + 1 > until || until - from > longestDays ? [] : [{ from: from + 1, until }];
  });
  return ended.sort((a, b) => a.from - b.from).at(-1) ?? null;
}

function openStorage(layUp: LayUp, machine: Machine, facts: MachineFacts, today: Day, zone: Zone): Day | null {
  const stored = newestOf(facts, layUp.into);
  const told = layUp.into
    .flatMap((task) => lastTold(machine, task))
    .sort()
    .at(-1);
  const day = stored?.day ?? told;
  if (day === undefined || day > today || dayNumber(today) - dayNumber(day) > longestDays) return null;
  const back = newestOf(facts, [layUp.back]);
  const backTold = lastTold(machine, layUp.back)[0];
  const isBack =
    back === undefined
      ? backTold !== undefined && backTold >= day
      : back.day > day || (back.day === day && back.enteredAtMs > (stored?.enteredAtMs ?? Number.NEGATIVE_INFINITY));
  const leftOut = facts.answers.some((a) => a.kind === 'leave-out' && a.tasks.includes(layUp.back) && a.day > day);
  return isBack || leftOut || isInUse(facts, day, stored, zone) ? null : day;
}

/** Whether it was run since the day on which it was laid up. */
function isInUse(facts: MachineFacts, day: Day, stored: ServiceRecord | undefined, zone: Zone): boolean {
  const sinceMs = endOfDay(day, zone);
  const told = facts.toldRuns.filter((run) => run.atMs >= sinceMs).reduce((sum, run) => sum + run.minutes, 0);
  const seen = facts.runs
    .filter((run) => run.fromMs >= sinceMs)
    .reduce((sum, run) => sum + (run.toMs - run.fromMs) / minuteMs, 0);
  if (told + seen > inUseFromMinutes) return true;
  const left = stored?.hoursKnown === 'read' ? stored.hours : null;
  return left !== null && facts.readings.some((r) => r.atMs >= sinceMs && r.hours > left + inUseFromHours);
}

function newestOf(facts: MachineFacts, tasks: readonly string[]): ServiceRecord | undefined {
  const found = facts.records.filter((record) => record.tasks.some((task) => tasks.includes(task)));
  return found.sort((a, b) => dayNumber(a.day) - dayNumber(b.day) || a.enteredAtMs - b.enteredAtMs).at(-1);
}

function lastTold(machine: Machine, task: string): Day[] {
  const told = machine.last[task];
  return told?.kind === 'done' && told.day !== undefined ? [told.day] : [];
}
