import { layUpsOf } from '../domain/lay-up.js';
import type { SeasonWord } from '../domain/machine.js';
import type { SeasonRule, Task } from '../domain/task.js';

/** The plan's tasks for a machine that is used in winter: what the plan lays up before the first frost and brings back before the
 *  last is laid up before the last frost and brought back before the first, as many days before. For other machines, and for
 *  tasks whose season the owner chose, the tasks as they are.
 *  @param season  when the machine is used, by the owner's word
 *  @param chosen  tasks whose season stands in the machine's own file */
export function turnForWinter(
  tasks: readonly Task[],
  season: SeasonWord,
  chosen: ReadonlySet<string>,
): readonly Task[] {
  if (season !== 'winter') return tasks;
  const turned = new Set(
    layUpsOf(tasks)
      .filter(({ into }) => tasks.some(({ id, season: rule }) => into.includes(id) && rule?.before === 'first-frost'))
      .flatMap(({ into, back }) => [...into, back]),
  );
  return tasks.map((task) =>
    task.season === undefined || !turned.has(task.id) || chosen.has(task.id)
      ? task
      : { ...task, season: turn(task.season) },
  );
}

function turn(rule: SeasonRule): SeasonRule {
  if (rule.before === 'first-frost') return { ...rule, before: 'last-frost' };
  return rule.before === 'last-frost' ? { ...rule, before: 'first-frost' } : rule;
}
