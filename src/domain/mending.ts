import type { Day } from './day.js';
import type { MachineFacts } from './facts.js';
import type { Machine } from './machine.js';
import { type OpenFinding, openFindings } from './open-findings.js';
import type { IfOut, Step, Task } from './task.js';

/** A machine with the jobs of it that were found outside their limits and left so as they are done next time: what only a bad finding
 *  brings is then part of the job, with its minutes, its tools and its parts, and stands before the measuring, which is
 *  done again; a step of it that is `last`, such as a trial, comes behind it.
 *  Plan, shopping, sheet and stock all speak of this one.
 *  @returns  the machine itself where nothing of it waits for such work
 *  Source: common practice, no source. */
export function withMending<M extends Pick<Machine, 'tasks'>>(machine: M, facts: Pick<MachineFacts, 'records'>): M {
  const open = toMendByWork(machine, facts);
  if (open.length === 0) return machine;
  const dayOf = new Map(open.map(({ task, day }) => [task, day]));
  return {
    ...machine,
    tasks: machine.tasks.map((task) => {
      const day = dayOf.get(task.id);
      return day === undefined || task.ifOut === undefined ? task : mended(task, task.ifOut, day);
    }),
  };
}

/** The jobs found outside their limits and left so that somebody wanted done in a visit of their own. A later finding asks anew.
 *  @returns  ids of tasks
 *  Source: common practice, no source. */
export function ownVisits(
  machine: Pick<Machine, 'tasks'>,
  facts: Pick<MachineFacts, 'records' | 'answers'>,
): ReadonlySet<string> {
  const asked = facts.answers.filter(({ kind }) => kind === 'own-visit');
  if (asked.length === 0) return new Set();
  return new Set(
    openFindings(machine, facts)
      .filter(({ task, enteredAtMs }) => asked.some(({ tasks, atMs }) => atMs >= enteredAtMs && tasks.includes(task)))
      .map(({ task }) => task),
  );
}

function toMendByWork(machine: Pick<Machine, 'tasks'>, facts: Pick<MachineFacts, 'records'>): readonly OpenFinding[] {
  const hasWork = (id: string) =>
    machine.tasks.some((task) => task.id === id && task.by === 'owner' && task.ifOut !== undefined);
  if (!facts.records.some(({ findings }) => findings.some(({ task }) => hasWork(task)))) return [];
  return openFindings(machine, facts).filter(({ task }) => hasWork(task));
}

function mended(task: Task, work: IfOut, foundOn: Day): Task {
  const { ifOut: _, ...rest } = task;
  const isLast = ({ last }: Step) => last === true;
  const steps = work.steps.map((step, at): Step => {
    const needs = at === 0 ? { ...work.needs, ...step.needs } : step.needs;
    return needs === undefined ? step : { ...step, needs };
  });
  return {
    ...rest,
    minutes: task.minutes + work.minutes,
    mending: { minutes: work.minutes, foundOn },
    steps: [
      ...task.steps.filter((step) => !isLast(step)),
      ...steps.filter((step) => !isLast(step)),
      ...(task.measure.length === 0 ? [] : [measureAgain(task)]),
      ...task.steps.filter(isLast),
      ...steps.filter(isLast),
    ],
    tools: [...(task.tools ?? []), ...(work.tools ?? [])],
    parts: [...task.parts, ...(work.parts ?? [])],
  };
}

/** The machine stands again as the measuring wants it. */
function measureAgain({ needs }: Task): Step {
  return { do: 'Now measure again; what counts is the value as left.', needs: { raised: 'none', ...needs } };
}
