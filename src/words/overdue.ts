import { daysBetween } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { weightOfTask } from '../domain/task-weight.js';
import { dueOf, type LetterContext } from './letter-context.js';

/** A visit as an overdue letter tells it: led by the weightiest of its tasks that have probably passed their limit, the one longest
 *  past it among equals, with the days of that task. What made the visit due once may be a look that is done in no time.
 *  @returns the visit as it is where none of its tasks is past
 *  Source: own policy. */
export function ledByOverdue(visit: Visit, machine: Machine, context: LetterContext): Visit {
  if (visit.kind !== 'service') return visit;
  const { today } = context.outlook;
  const [worst] = machine.tasks
    .filter((task) => visit.tasks.includes(task.id))
    .flatMap((task) => {
      const day = dueOf(machine, task.id, context)?.day ?? null;
      return day === null || day.p50 >= today ? [] : [{ task, day }];
    })
    .sort((a, b) => weightOfTask(b.task) - weightOfTask(a.task) || daysBetween(b.day.p50, a.day.p50));
  return worst === undefined ? visit : { ...visit, leadTask: worst.task.id, due: worst.day };
}
