import type { Task } from './task.js';

/** How a machine goes into storage and comes back from it, by the plan. */
export interface LayUp {
  /** Tasks that lay it up, in the plan's order. */
  readonly into: readonly string[];
  /** The task that brings it back. */
  readonly back: string;
}

/** The ways into storage and back that a plan names: tasks of a season that lead to another season's task `at: return`.
 *  @param tasks  of the plan, or those that a machine has
 *  @returns one for each way back, in the plan's order; [] where nothing is laid up
 *  Source: definition. */
export function layUpsOf(tasks: readonly Task[]): LayUp[] {
  const seasonal = tasks.filter((task) => task.season !== undefined);
  return seasonal.flatMap(({ id: back }) => {
    const into = seasonal.filter(({ leadsTo = [] }) =>
      leadsTo.some((next) => next.task === back && next.at === 'return'),
    );
    return into.length === 0 ? [] : [{ into: into.map(({ id }) => id), back }];
  });
}
