import type { Fault } from '../domain/fault.js';
import type { LastDone } from '../domain/machine.js';
import type { Needs, Task } from '../domain/task.js';
import type { CheckedPlan } from './load-plan.js';
import type { MachineYaml } from './machine-schema.js';
import { overrideTask } from './override-task.js';
import type { YamlFile } from './read-yaml.js';

/** The plan's tasks with the owner's variants, all of them still there. Faults of the variants are added to `faults`,
 *  with places in the machine's file. */
export function applyOverrides(yaml: MachineYaml, plan: CheckedPlan, file: YamlFile, faults: Fault[]): Task[] {
  return plan.tasks.map((task) => {
    const override = Object.hasOwn(yaml.tasks, task.id) ? yaml.tasks[task.id] : undefined;
    return override === undefined ? task : overrideTask(task, override, file, faults);
  });
}

/** The tasks that this machine has: those for fittings it lacks and retired ones left out, and named nowhere any more. */
export function fitTasks(yaml: MachineYaml, tasks: readonly Task[]): Task[] {
  const kept = tasks.filter(
    (task) => (task.has ?? []).every((fitting) => yaml.has.includes(fitting)) && !Object.hasOwn(yaml.never, task.id),
  );
  const byId = new Map(tasks.map((task) => [task.id, task]));
  const isKept = new Set(kept.map(({ id }) => id));
  return kept.map((task) => namingOnly(task, isKept, byId, yaml.has));
}

/** Tasks of a machine that names no fitting at all, left out because each asks for some: perhaps they were forgotten. */
export interface Unfitted {
  readonly machine: string;
  readonly fittings: readonly string[];
  readonly tasks: readonly string[];
}

/** What a machine without fittings leaves out; null where it names some, or where no task asks for any. */
export function unfittedOf(machine: string, yaml: MachineYaml, tasks: readonly Task[]): Unfitted | null {
  const asking = tasks.filter(({ id, has = [] }) => has.length > 0 && !Object.hasOwn(yaml.never, id));
  if (yaml.has.length > 0 || yaml.gone || asking.length === 0) return null;
  const fittings = [...new Set(asking.flatMap(({ has = [] }) => has))];
  return { machine, fittings, tasks: asking.map(({ id }) => id) };
}

/** `last:` as one answer a task; a single word stands for all of them. */
export function resolveLast(yaml: MachineYaml, tasks: readonly Task[]): Record<string, LastDone> {
  const { last } = yaml;
  if (typeof last === 'string') return Object.fromEntries(tasks.map(({ id }) => [id, { kind: last }]));
  return Object.fromEntries(
    Object.entries(last).map(([task, value]) => [
      task,
      typeof value === 'string' ? { kind: value } : { kind: 'done', ...value },
    ]),
  );
}

/** The task naming only tasks and fittings that this machine has. */
function namingOnly(
  task: Task,
  isKept: ReadonlySet<string>,
  byId: ReadonlyMap<string, Task>,
  has: readonly string[],
): Task {
  const { after, countsAs, leadsTo, needs, ifOut, ...rest } = task;
  return {
    ...rest,
    ...(after === undefined ? {} : { after: keptBefore(after, isKept, byId) }),
    ...(countsAs === undefined ? {} : { countsAs: countsAs.filter((id) => isKept.has(id)) }),
    ...(leadsTo === undefined ? {} : { leadsTo: leadsTo.filter((next) => isKept.has(next.task)) }),
    ...(needs === undefined ? {} : { needs: needsOf(needs, has) }),
    ...(ifOut === undefined
      ? {}
      : { ifOut: ifOut.needs === undefined ? ifOut : { ...ifOut, needs: needsOf(ifOut.needs, has) } }),
  };
}

/** A task that waited for one left out waits for what that one waited for, so that the order stays. */
function keptBefore(
  after: readonly string[],
  isKept: ReadonlySet<string>,
  byId: ReadonlyMap<string, Task>,
): readonly string[] {
  const found = new Set<string>();
  const seen = new Set<string>();
  const waiting = [...after];
  for (let id = waiting.shift(); id !== undefined; id = waiting.shift()) {
    if (seen.has(id)) continue;
    seen.add(id);
    if (isKept.has(id)) found.add(id);
    else waiting.push(...(byId.get(id)?.after ?? []));
  }
  return [...found];
}

/** "Off" is always true of a fitting that the machine does not have. */
function needsOf(needs: Needs, has: readonly string[]): Needs {
  const { fitted, ...rest } = needs;
  const left = Object.entries(fitted ?? {}).filter(([fitting, state]) => state === 'on' || has.includes(fitting));
  return left.length === 0 ? rest : { ...rest, fitted: Object.fromEntries(left) };
}
