import type { Machine } from './machine.js';
import type { Task } from './task.js';

/** Whether a task's first time still lay ahead when the machine came: its meter stood below the limit of `first: { hours }`.
 *  Then no blanket word such as `fine-as-bought` can stand for that job, because nothing says that it was done early.
 *  @param cameWithHours  first hours known of the machine; null where they are not known
 *  @returns              false for a task without such a limit, where the hours are not known, on a machine without an hour
 *                        meter and on one whose meter was replaced: its hours do not tell its age
 *  Source: common practice, no source. */
export function hasFirstTimeAhead(machine: Pick<Machine, 'meter'>, task: Task, cameWithHours: number | null): boolean {
  if (machine.meter.kind === 'none' || machine.meter.changes.length > 0) return false;
  return task.first?.hours !== undefined && cameWithHours !== null && cameWithHours < task.first.hours;
}
