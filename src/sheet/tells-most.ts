import type { Task } from '../domain/task.js';
import { baselineGroup } from './jobs.js';

const telling = new Set(['level', 'look', 'test']);

/** The tasks that show most of a machine nobody knows: levels, looks (leaks, hoses), safety tests, and what is first looked at
 *  (filters). One that the plan puts behind a job of another kind waits with it.
 *  @param tasks  of the visit
 *  @returns      their ids
 *  Source: common practice, no source. */
export function tellsMost(tasks: readonly Task[]): Set<string> {
  const chosen = new Set(tasks.filter(isTelling).map(({ id }) => id));
  const others = new Set(tasks.filter(({ id }) => !chosen.has(id)).map(({ id }) => id));
  for (;;) {
    const waiting = tasks.filter(({ id, after = [] }) => chosen.has(id) && after.some((other) => others.has(other)));
    if (waiting.length === 0) return chosen;
    for (const { id } of waiting) {
      chosen.delete(id);
      others.add(id);
    }
  }
}

/** A level read after filling tells nothing of the machine as it was found. */
function isTelling({ group, measure, outcomes = [], fluids, leadsTo = [] }: Task): boolean {
  if (group === baselineGroup) return true;
  // What something else has to close at once takes the machine apart.
  if (fluids.length > 0 || leadsTo.some(({ at }) => at === 'once')) return false;
  return (
    measure.some(({ specification }) => telling.has(specification.kind)) ||
    outcomes.some((outcome) => outcome.startsWith('looked at'))
  );
}
