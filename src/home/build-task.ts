import type { LeadsTo, Task } from '../domain/task.js';
import type { TaskYaml } from './plan-schema.js';

/** A task of the domain from its checked YAML. `source` is the plan's, for tasks without one of their own. */
export function buildTask(yaml: TaskYaml, source: string): Task {
  const { leadsTo, ...rest } = yaml;
  return {
    ...rest,
    source: yaml.source ?? source,
    ...(leadsTo === undefined ? {} : { leadsTo: buildLeadsTo(leadsTo) }),
  };
}

/** What a task brings behind it, as the file gives it; hours stay engine hours. */
export function buildLeadsTo(yaml: NonNullable<TaskYaml['leadsTo']>): LeadsTo[] {
  return yaml.map(({ task, at, after }) => ({
    task,
    ...(at === undefined ? {} : { at }),
    ...(after === undefined ? {} : { afterHours: after }),
  }));
}
