import type { Breach } from '../domain/breach.js';
import { Fault } from '../domain/fault.js';
import type { Plan } from '../domain/task.js';
import { checkTasks } from '../domain/task-rules.js';
import { buildTask } from './build-task.js';
import { planSchema } from './plan-schema.js';
import { readTextFile } from './read-file.js';
import { type KeyPath, readYaml, type YamlFile } from './read-yaml.js';
import { readBySchema } from './schema-faults.js';

/** A plan with the lists that its needs may name; a machine takes them over unless it has its own. */
export interface CheckedPlan extends Plan {
  readonly covers: readonly string[];
  readonly fittings: readonly string[];
  readonly places: readonly string[];
}

export type PlanRead = { kind: 'plan'; plan: CheckedPlan } | { kind: 'faults'; faults: Fault[] };

/** Reads and checks one plan file, the rules between its tasks included. */
export function loadPlan(id: string, file: string): PlanRead {
  const read = readTextFile(file);
  return read.kind === 'fault' ? { kind: 'faults', faults: [read.fault] } : readPlan(id, file, read.text);
}

/** A plan from text. The rules between tasks are looked at once every task by itself is right. */
function readPlan(id: string, file: string, text: string): PlanRead {
  const yamlRead = readYaml(file, text);
  if (yamlRead.kind === 'faults') return yamlRead;
  const { yaml } = yamlRead;
  const empty = emptyFault(yaml, 'Write title: and tasks:, or take the file away.');
  if (empty !== null) return { kind: 'faults', faults: [empty] };
  const read = readBySchema(planSchema, yaml);
  if (read.kind === 'faults') return read;
  const { title, source, covers, fittings, places, tasks } = read.value;
  const plan: CheckedPlan = {
    id,
    title,
    source,
    covers,
    fittings,
    places,
    tasks: tasks.map((task) => buildTask(task, source)),
  };
  const breaches = checkTasks(plan.tasks, plan);
  return breaches.length === 0 ? { kind: 'plan', plan } : { kind: 'faults', faults: placeBreaches(yaml, breaches) };
}

/** Breaches of domain rules as faults at their places in the file.
 *  @param base  path in the file of the thing that was checked */
export function placeBreaches(yaml: YamlFile, breaches: readonly Breach[], base: KeyPath = []): Fault[] {
  return breaches.map(
    ({ code, message, found, remedy, path, isKey }) =>
      new Fault({
        code,
        message,
        place:
          isKey === true
            ? yaml.place([...base, ...path.slice(0, -1)], String(path.at(-1)))
            : yaml.place([...base, ...path]),
        found: found === undefined ? undefined : found.startsWith('"') ? found : JSON.stringify(found),
        remedy: remedy === '' ? undefined : remedy,
        retry: 'after-fix',
      }),
  );
}

/** The fault of a file that holds nothing but blanks and comments, or null. */
export function emptyFault(yaml: YamlFile, remedy: string): Fault | null {
  if (yaml.value !== null && yaml.value !== undefined) return null;
  return new Fault({
    code: 'file-empty',
    message: 'This file holds no settings',
    place: `${yaml.file}:1:1`,
    remedy,
    retry: 'after-fix',
  });
}
