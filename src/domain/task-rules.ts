import { type Breach, under } from './breach.js';
import { cautionLibrary } from './cautions.js';
import { didYouMean } from './closest-name.js';
import { checkMeasurement } from './specification-rules.js';
import type { Needs, Task } from './task.js';

/** The lists that needs may name: those of the plan, or those of the machine where it has its own. */
export interface NeedLists {
  readonly covers: readonly string[];
  readonly fittings: readonly string[];
}

/** All rules that the tasks of a plan must keep together: each by itself, no id twice, `after` without a circle,
 *  and no task that nothing ever brings. Paths start at the plan (`tasks`, index, …).
 *  @returns  empty where nothing is wrong */
export function checkTasks(tasks: readonly Task[], lists: NeedLists): Breach[] {
  const ids = tasks.map(({ id }) => id);
  const brought = new Set(tasks.flatMap(({ leadsTo = [] }) => leadsTo.map(({ task }) => task)));
  const breaches = tasks.flatMap((task, index) => {
    const inner = checkTask(task, ids, lists);
    if (ids.indexOf(task.id) !== index) {
      inner.push({
        code: 'id-twice',
        message: 'Two tasks have this id',
        found: `"${task.id}"`,
        remedy: 'Give each task an id of its own.',
        path: ['id'],
      });
    }
    if (!hasLimit(task) && !brought.has(task.id)) {
      inner.push({
        code: 'task-never-comes',
        message: `Nothing ever brings the task "${task.id}"`,
        remedy: 'Give it one of every, first, season or when: noticed, or name it in leadsTo of another task.',
        path: [],
      });
    }
    return under(['tasks', index], inner);
  });
  for (const circle of circlesOfAfter(tasks)) {
    breaches.push({
      code: 'after-in-a-circle',
      message: `These tasks wait for each other: ${[...circle, circle[0]].join(' after ')}`,
      remedy: 'Take one of these after entries out.',
      path: ['tasks', ids.indexOf(circle[0] ?? ''), 'after'],
    });
  }
  return breaches;
}

/** The rules that one task must keep: names of other tasks, needs that the machine can meet, cautions that exist,
 *  measurements that make sense. Paths start at the task.
 *  @param ids    ids of all tasks that may be named
 *  @param lists  covers and fittings that needs may name
 *  @returns      empty where nothing is wrong */
export function checkTask(task: Task, ids: readonly string[], lists: NeedLists): Breach[] {
  const breaches: Breach[] = [];
  const name = (list: readonly string[], path: (index: number) => (string | number)[]) =>
    list.forEach((id, index) => {
      if (!ids.includes(id)) breaches.push(unknownTask(id, ids, path(index)));
    });
  name(task.after ?? [], (index) => ['after', index]);
  name(task.countsAs ?? [], (index) => ['countsAs', index]);
  name(task.leadsTo?.map((next) => next.task) ?? [], (index) => ['leadsTo', index, 'task']);
  if (task.countsAs?.includes(task.id) === true) breaches.push(namesItself('countsAs'));
  (task.has ?? []).forEach((fitting, index) => {
    if (!lists.fittings.includes(fitting)) breaches.push(unknownFitting(fitting, lists.fittings, ['has', index]));
  });
  breaches.push(...under(['needs'], checkNeeds(task.needs, lists)));
  task.steps.forEach(({ needs }, index) => {
    breaches.push(...under(['steps', index, 'needs'], checkNeeds(needs, lists)));
  });
  breaches.push(...under(['ifOut', 'needs'], checkNeeds(task.ifOut?.needs, lists)));
  breaches.push(...checkCautions(task));
  task.measure.forEach((measurement, index) => {
    breaches.push(...under(['measure', index], checkMeasurement(measurement)));
    if (task.measure.findIndex(({ id }) => id === measurement.id) !== index) {
      breaches.push({
        code: 'id-twice',
        message: 'Two measurements of this task have this id',
        found: `"${measurement.id}"`,
        remedy: 'Give each measurement an id of its own.',
        path: ['measure', index, 'id'],
      });
    }
  });
  return breaches;
}

/** Whether a limit or a word of the task itself ever brings it: every, first, season or `when: noticed`. */
export function hasLimit(task: Task): boolean {
  return task.every !== undefined || task.first !== undefined || task.season !== undefined || task.when !== undefined;
}

/** The circles in which tasks wait for each other through `after`, each once, starting at its first task in the plan.
 *  @returns  empty where the tasks can be put in order
 *  Source: depth-first search as in any textbook of algorithms, from memory. */
export function circlesOfAfter(tasks: readonly Task[]): string[][] {
  const waits = new Map(tasks.map(({ id, after = [] }) => [id, after]));
  const order = tasks.map(({ id }) => id);
  const finished = new Set<string>();
  const circles: string[][] = [];
  for (const start of order) {
    // An own stack, so that a plan of any length cannot exhaust the call stack.
    const path: string[] = [];
    const stack: { id: string; next: number }[] = finished.has(start) ? [] : [{ id: start, next: 0 }];
    if (stack.length > 0) path.push(start);
    while (stack.length > 0) {
      const top = stack[stack.length - 1];
      if (top === undefined) break;
      const child = waits.get(top.id)?.[top.next];
      top.next += 1;
      if (child === undefined) {
        finished.add(top.id);
        stack.pop();
        path.pop();
      } else if (path.includes(child)) {
        circles.push(fromFirst(path.slice(path.indexOf(child)), order));
      } else if (waits.has(child) && !finished.has(child)) {
        stack.push({ id: child, next: 0 });
        path.push(child);
      }
    }
  }
  return circles;
}

function fromFirst(circle: readonly string[], order: readonly string[]): string[] {
  const first = Math.min(...circle.map((id) => order.indexOf(id)));
  const at = circle.indexOf(order[first] ?? '');
  return [...circle.slice(at), ...circle.slice(0, at)];
}

function checkNeeds(needs: Needs | undefined, lists: NeedLists): Breach[] {
  const breaches: Breach[] = [];
  (needs?.covers ?? []).forEach((cover, index) => {
    if (lists.covers.includes(cover)) return;
    breaches.push({
      code: 'cover-unknown',
      message: `The need names a cover that is not in the list of covers`,
      found: `"${cover}"`,
      remedy: didYouMean(cover, lists.covers) || 'Name it in covers: of the plan, or in that of the machine.',
      path: ['covers', index],
    });
  });
  for (const fitting of Object.keys(needs?.fitted ?? {})) {
    if (!lists.fittings.includes(fitting)) {
      breaches.push(unknownFitting(fitting, lists.fittings, ['fitted', fitting]));
    }
  }
  return breaches;
}

function checkCautions(task: Task): Breach[] {
  const refs = [
    ...task.cautions.map((ref, index) => ({ ref, path: ['cautions', index] })),
    ...task.steps.map(({ caution }, index) => ({ ref: caution, path: ['steps', index, 'caution'] })),
    ...(task.ifOut?.steps ?? []).map(({ caution }, index) => ({
      ref: caution,
      path: ['ifOut', 'steps', index, 'caution'],
    })),
  ];
  return refs.flatMap(({ ref, path }) =>
    typeof ref !== 'string' || Object.hasOwn(cautionLibrary, ref)
      ? []
      : [
          {
            code: 'caution-unknown',
            message: 'The caution library does not have this caution',
            found: `"${ref}"`,
            remedy: `${didYouMean(ref, Object.keys(cautionLibrary))} Or write it out with signal, hazard, avoid and source.`,
            path,
          },
        ],
  );
}

/** The breach of naming a task that is not there.
 *  @param id    as written
 *  @param ids   ids that would be right
 *  @param path  where it is named */
export function unknownTask(id: string, ids: readonly string[], path: readonly (string | number)[]): Breach {
  return {
    code: 'task-unknown',
    message: 'The plan has no task with this id',
    found: `"${id}"`,
    remedy: didYouMean(id, ids) || 'Name a task of the plan.',
    path,
  };
}

function unknownFitting(fitting: string, fittings: readonly string[], path: readonly (string | number)[]): Breach {
  return {
    code: 'fitting-unknown',
    message: 'This fitting is not in the list of fittings',
    found: `"${fitting}"`,
    remedy: didYouMean(fitting, fittings) || 'Name it in fittings: of the plan.',
    path,
  };
}

function namesItself(key: string): Breach {
  return {
    code: 'task-names-itself',
    message: 'A task cannot name itself here',
    remedy: 'Take it out; doing a task always counts for the task itself.',
    path: [key],
  };
}
