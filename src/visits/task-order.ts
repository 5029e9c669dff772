import type { Task } from '../domain/task.js';

/** Tasks in the plan's order, each after those of the visit that it names in `after`. A circle is broken at its first task.
 *  @param chosen  ids of the visit's tasks
 *  @param plan    all tasks of the machine
 *  Source: common practice, no source. */
export function orderAsPlanned(chosen: readonly string[], plan: readonly Task[]): string[] {
  const wanted = new Set(chosen);
  const byId = new Map(plan.filter((task) => wanted.has(task.id)).map((task) => [task.id, task]));
  const ordered: string[] = [];
  const entered = new Set<string>();
  const enter = (task: Task) => {
    if (entered.has(task.id)) return;
    entered.add(task.id);
    for (const before of task.after ?? []) {
      const earlier = byId.get(before);
      if (earlier !== undefined) enter(earlier);
    }
    ordered.push(task.id);
  };
  for (const task of byId.values()) enter(task);
  return ordered;
}
