import type { Needs, Task } from '../domain/task.js';
import type { Job } from './job.js';

/** The group of tasks that look at the machine as it was found, before anything is changed on it. */
export const baselineGroup = 'as it stands';
/** The group of tasks that lay the machine up or bring it back: they run the engine themselves. */
const storageGroup = 'storage';

/** Whether a task brings the machine back from its rest: one that laying up names as its way back, or a task of storage that
 *  other work waits for.
 *  @param machine  all tasks of the machine
 *  Source: definition. */
export function bringsBack({ id, group }: Task, machine: readonly Task[]): boolean {
  if (machine.some((other) => broughtBy(other, 'return').includes(id))) return true;
  return (
    group === storageGroup &&
    machine.some(({ group: others, after = [] }) => others !== storageGroup && after.includes(id))
  );
}

/** Whether a task lays the machine up: it comes after all others, and the engine is not started for anything after it.
 *  @param machine  all tasks of the machine
 *  Source: definition. */
export function laysUp(task: Task, machine: readonly Task[]): boolean {
  return task.group === storageGroup && !bringsBack(task, machine);
}

/** What a task needs on our sheets: on its wheels unless the task names an end or says `any`, so that nobody starts an
 *  engine or takes a loader off while the machine happens to stand on stands.
 *  Source: common practice, no source. */
export function needsOf(task: Task): Needs {
  return { raised: 'none', ...task.needs };
}

/** What the steps of a task need one after the other, beyond what the task needs from its start.
 *  Source: definition. */
export function stagesOf(task: Task): Needs[] {
  return task.steps.flatMap(({ needs }) => (needs === undefined ? [] : [needs]));
}

/** Jobs for the order: what the plan puts after what; what has to be closed at once right after what leaves it open; the way
 *  back from a rest before anything starts; a check or an adjustment after the job that counts as it, so that nobody adjusts what
 *  is about to be replaced; the baseline as it stands before all other work, laying up behind the rest, and so what is brought
 *  "at the end". A wish that would make tasks wait for each other gives way to those before it.
 *  @param machine  all tasks of the machine
 *  @param first    ids of the jobs that come before all others as far as the plan allows it, such as what tells most
 *  Source: common practice, no source. */
export function jobsOf(
  tasks: readonly Task[],
  machine: readonly Task[] = tasks,
  first: ReadonlySet<string> = new Set(),
): Job[] {
  const ids = new Set(tasks.map(({ id }) => id));
  const waits = new Map(tasks.map(({ id, after = [] }) => [id, new Set(after.filter((other) => ids.has(other)))]));
  const letFollow = (later: string, earlier: string): void => {
    if (ids.has(later) && ids.has(earlier) && later !== earlier && !waitsFor(waits, earlier, later))
      waits.get(later)?.add(earlier);
  };
  const openEnds = tasks.map((task) => [task.id, broughtBy(task, 'once').filter((next) => ids.has(next))] as const);
  for (const [opener, closers] of openEnds) for (const closer of closers) letFollow(closer, opener);
  const isBack = new Set(tasks.filter((task) => bringsBack(task, machine)).map(({ id }) => id));
  for (const id of isBack) for (const task of tasks) if (startsEngine(task)) letFollow(task.id, id);
  for (const { id, countsAs = [] } of tasks) for (const counted of countsAs) letFollow(counted, id);
  const baseline = tasks.filter(({ group }) => group === baselineGroup);
  for (const task of tasks) {
    if (task.group !== baselineGroup) for (const { id } of baseline) letFollow(task.id, id);
  }
  const isLayUp = (task: Task): boolean => task.group === storageGroup && !isBack.has(task.id);
  for (const task of tasks) {
    if (isLayUp(task)) for (const other of tasks) if (!isLayUp(other)) letFollow(task.id, other.id);
  }
  for (const { id } of tasks) if (!first.has(id)) for (const early of first) letFollow(id, early);
  const brought = new Set(tasks.flatMap((task) => broughtBy(task, 'end')));
  for (const end of brought)
    for (const task of tasks) if (broughtBy(task, 'end').includes(end)) letFollow(end, task.id);
  for (const end of brought) {
    for (const { id } of tasks) if (ids.has(end) && !brought.has(id)) letFollow(end, id);
  }
  // Nothing is opened before all that its closing waits for is done.
  for (const [opener, closers] of openEnds) {
    for (const closer of closers) for (const earlier of waits.get(closer) ?? []) letFollow(opener, earlier);
  }
  return tasks.map((task) => ({
    id: task.id,
    minutes: task.minutes,
    needs: needsOf(task),
    stages: stagesOf(task),
    closedBy: broughtBy(task, 'once'),
    ...(task.group === undefined ? {} : { group: task.group }),
    after: [...(waits.get(task.id) ?? [])],
  }));
}

/** Ids of the tasks that this one brings: at once, at the end of the same visit, or as its way back.
 *  Source: definition. */
export function broughtBy({ leadsTo = [] }: Task, at: 'once' | 'end' | 'return'): string[] {
  return leadsTo.flatMap((next) => (next.at === at ? [next.task] : []));
}

function startsEngine(task: Task): boolean {
  return [needsOf(task), ...stagesOf(task)].some(
    ({ engine }) => engine === 'warm' || engine === 'running' || engine === 'brief',
  );
}

function waitsFor(waits: ReadonlyMap<string, ReadonlySet<string>>, task: string, other: string): boolean {
  const seen = new Set([task]);
  for (const id of seen) {
    if (id === other) return true;
    for (const earlier of waits.get(id) ?? []) seen.add(earlier);
  }
  return false;
}
