import type { Day } from '../../src/domain/day.js';
import type { Machine } from '../../src/domain/machine.js';
import type { Visit } from '../../src/domain/results/visit.js';
import { loadLibraryPlan } from '../../src/home/plan-library.js';

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

/** A machine of a library plan, without a meter, since a day.
 *  @param has  its fittings, with the tasks that they bring; absent: all that the plan knows */
export function libraryMachine(plan: string, since: Day, has?: readonly string[]): Machine {
  const read = loadLibraryPlan(plan);
  if (read.kind === 'faults') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  const { id, covers, places, fittings, tasks } = read.plan;
  return {
    id: 'shed-machine',
    name: 'Shed machine',
    planId: id,
    has: has ?? fittings,
    covers,
    places,
    meter: { kind: 'none' },
    expect: { season: 'unknown' },
    since,
    gone: false,
    last: {},
    never: {},
    tasks:
      has === undefined ? tasks : tasks.filter((task) => (task.has ?? []).every((fitting) => has.includes(fitting))),
  };
}
