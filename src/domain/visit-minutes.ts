import type { Task } from './task.js';

/** The tasks of a visit, and those that they bring in the same visit.
 *  @param ids    of the visit
 *  @param tasks  all of the machine
 *  @returns      each once, in the order of the plan; checks before each use and tasks the machine no longer has left out
 *  Source: common practice, no source. */
export function tasksOfVisit(ids: readonly string[], tasks: readonly Task[]): Task[] {
  const wanted = new Set(ids);
  for (const id of wanted) {
    // A Set is walked over in the order of adding, so what is brought can bring more.
    const task = tasks.find((candidate) => candidate.id === id);
    for (const next of task?.leadsTo ?? []) if (next.at === 'once' || next.at === 'end') wanted.add(next.task);
  }
  return tasks.filter(({ id, every }) => wanted.has(id) && every !== 'use');
}

/** Minutes of a visit, the one figure that sheet, pages, calendar and messages say: its tasks, those that they bring at the
 *  end, and setting up and putting away. Waiting for an engine to warm up or cool down is not in it.
 *  @param ids           of the visit
 *  @param tasks         all of the machine
 *  @param by            the dealer sets up nothing of ours
 *  @param setUpMinutes  of the household, >= 0
 *  Source: common practice, no source. */
export function minutesOfVisit(
  ids: readonly string[],
  tasks: readonly Task[],
  by: Task['by'],
  setUpMinutes: number,
): number {
  return tasksOfVisit(ids, tasks).reduce((sum, task) => sum + task.minutes, by === 'owner' ? setUpMinutes : 0);
}
