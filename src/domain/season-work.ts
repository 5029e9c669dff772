import { type Day, daysBetween } from './day.js';
import type { Machine } from './machine.js';
import type { Due } from './results/due.js';

/** Work that only a season brings, confirmed this many days before its day, was probably ticked by a slip: it would count for
 *  the season to come, and nothing would call for it then. Common practice, no source. */
const mostDaysEarly = 60;

/** The first of these tasks that is season work far ahead of its season on this day.
 *  @param day   on which it is said to be done
 *  @param dues  of the machine, as they were before it
 *  @returns     the task and the day on which its season calls for it; null where there is none
 *  Source: common practice, no source. */
export function findOutOfSeason(
  tasks: readonly string[],
  day: Day,
  machine: Pick<Machine, 'tasks'>,
  dues: readonly Due[],
): { readonly task: string; readonly seasonDay: Day } | null {
  for (const id of tasks) {
    const task = machine.tasks.find((one) => one.id === id);
    const due = dues.find((one) => one.task === id);
    if (task?.season === undefined || task.every !== undefined || due?.limit !== 'season') continue;
    if (due.calendarDay === null || daysBetween(day, due.calendarDay) <= mostDaysEarly) continue;
    return { task: id, seasonDay: due.calendarDay };
  }
  return null;
}
