import type { Needs, Task } from '../domain/task.js';
import type { Job } from './working-order.js';

/** The group of tasks that look at the machine as it was found, before anything is changed on it. */
export const baselineGroup = 'as it stands';
/** The group of tasks that lay the machine up or bring it back: they run the engine themselves, and come last. */
export const storageGroup = 'storage';

/** What a task needs on our sheets: on its wheels unless the task names an end or says `any`, so that nobody starts an
 *  engine or takes a loader off while the machine happens to stand on stands.
 *  Source: common practice, no source. */
export function needsOf(task: Task): Needs {
  return { raised: 'none', ...task.needs };
}

/** Jobs for the order: what the plan puts after what, the baseline as it stands before all others, laying up and bringing back
 *  behind the rest, and so what is brought "at the end". A wish that would make tasks wait for each other gives way to the plan.
 *  @param first  ids of the jobs that come before all others as far as the plan allows it, such as what tells most
 *  Source: common practice, no source. */
export function jobsOf(tasks: readonly Task[], first: ReadonlySet<string> = new Set()): Job[] {
  const ids = new Set(tasks.map(({ id }) => id));
  const waits = new Map(tasks.map(({ id, after = [] }) => [id, new Set(after.filter((other) => ids.has(other)))]));
  const letFollow = (later: string, earlier: string): void => {
    if (later !== earlier && !waitsFor(waits, earlier, later)) waits.get(later)?.add(earlier);
  };
  const baseline = tasks.filter(({ group }) => group === baselineGroup);
  for (const task of tasks) {
    if (task.group !== baselineGroup) for (const { id } of baseline) letFollow(task.id, id);
  }
  for (const { id, group } of tasks) {
    if (group === storageGroup) for (const other of tasks) if (other.group !== storageGroup) letFollow(id, other.id);
  }
  for (const { id } of tasks) if (!first.has(id)) for (const early of first) letFollow(id, early);
  const brought = new Set(
    tasks.flatMap(({ leadsTo = [] }) => leadsTo.flatMap((next) => (next.at === 'end' ? [next.task] : []))),
  );
  for (const end of brought) {
    for (const { id, leadsTo = [] } of tasks) if (leadsTo.some((next) => next.task === end)) letFollow(end, id);
  }
  for (const end of brought) {
    for (const { id } of tasks) if (ids.has(end) && !brought.has(id)) letFollow(end, id);
  }
  return tasks.map((task) => ({
    id: task.id,
    minutes: task.minutes,
    needs: needsOf(task),
    ...(task.group === undefined ? {} : { group: task.group }),
    after: [...(waits.get(task.id) ?? [])],
  }));
}

function waitsFor(waits: ReadonlyMap<string, ReadonlySet<string>>, task: string, other: string): boolean {
  const seen = new Set([task]);
  for (const id of seen) {
    if (id === other) return true;
    for (const earlier of waits.get(id) ?? []) seen.add(earlier);
  }
  return false;
}
