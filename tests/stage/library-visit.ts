import type { Day } from '../../src/domain/day.js';
import type { Visit } from '../../src/domain/results/visit.js';

/** A visit of the owner to a machine of a library plan, with the tasks named and nothing to buy. */
export function shedVisit(machine: string, tasks: readonly string[], day: Day, over: Partial<Visit> = {}): Visit {
  return {
    id: 'shed-machine-visit-1',
    machine,
    tasks,
    leadTask: tasks[0] ?? '',
    pulledForward: [],
    early: [],
    day,
    due: { p10: day, p50: day, p90: day },
    minutes: 0,
    shopping: [],
    buyBy: null,
    revision: 0,
    announced: false,
    kind: 'service',
    askOn: null,
    by: 'owner',
    cause: { kind: 'on-time' },
    pLate: 0,
    ...over,
  };
}
