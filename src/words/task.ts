import type { Machine } from '../domain/machine.js';
import { oneLine } from './sentence.js';

/** The title of a task as its plan writes it; a task the plan no longer has is told by its id, in words.
 *  @param id  task id of this machine, now or earlier
 *  Source: common practice, no source. */
export function sayTask(id: string, machine: Pick<Machine, 'tasks'>): string {
  const title = machine.tasks.find((task) => task.id === id)?.title;
  return oneLine(title ?? id.replaceAll('-', ' '));
}
