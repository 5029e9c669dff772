import type { EngineNeed, Needs } from '../domain/task.js';
import { orderFault } from './errors.js';
import type { Job } from './job.js';
import { leastOrder } from './least-order.js';
import { machineBound } from './machine-bound.js';
import { stuckItems } from './order-problem.js';
import { asItStands, type MachineState } from './state.js';
import { endMinutes, keyOfState, waysThrough } from './ways-through.js';

/** Jobs in the order that takes the fewest minutes. */
export interface WorkingOrder {
  /** Ids, each once. */
  readonly order: readonly string[];
  /** By job, what is changed ahead of it though only later jobs ask for it: while the engine stands still anyway. */
  readonly ahead: ReadonlyMap<string, Needs>;
  /** Jobs, changes between them, and putting back at the end; covers count off and on. */
  readonly minutes: number;
  /** True where surely no other order takes fewer minutes. */
  readonly proven: boolean;
}

/** Positions looked at before the search gives up and takes the nearest job each time. */
const mostPositions = 120_000;

/** The order of least minutes in which jobs can follow each other. A change is made when it is first needed, or ahead of a job that
 *  warms or starts the engine where that saves stopping it later; a job that needs no change is done at once, since waiting cannot
 *  help. Among equal orders: covers and group as in the job before, cold before warm before running, else the order given.
 *  @param jobs         ids unique, `after` and `closedBy` naming other jobs; names that are not among them count for nothing
 *  @param finish       `running` where the engine has to run at the end
 *  @param positions    positions looked at before giving up; then `proven` is false
 *  @param from         how the machine was found
 *  @returns            no jobs give an empty order of 0 minutes, proven
 *  @throws             Fault order-impossible, where jobs wait for each other
 *  Source: the search of `leastOrder`. */
export function orderTasks(
  jobs: readonly Job[],
  finish: 'running' | 'any' = 'any',
  positions = mostPositions,
  from: MachineState = asItStands,
): WorkingOrder {
  const numbers = new Map(jobs.map(({ id }, at) => [id, at]));
  const among = (ids: readonly string[], self: number) => [
    ...new Set(ids.flatMap((id) => numbers.get(id) ?? []).filter((at) => at !== self)),
  ];
  const waits = jobs.map(({ after }, at) => among(after, at));
  const stuck = stuckItems(waits);
  if (stuck.length > 0)
    throw orderFault(
      'order-impossible',
      stuck.map((at) => jobs[at]?.id ?? ''),
    );
  const closedBy = jobs.map(({ closedBy: closers = [] }, at) => among(closers, at));
  const ways = waysThrough(jobs);
  const found = leastOrder(
    {
      count: jobs.length,
      waits,
      closedBy,
      twin: twinsOf(jobs, waits, closedBy),
      start: from,
      keyOf: keyOfState,
      ways,
      end: (state) => endMinutes(state, finish),
      bound: machineBound(jobs, finish),
      rank: (at, last, state, isFree) => rankAfter(jobs[at], last === null ? undefined : jobs[last], state, isFree, at),
    },
    positions,
  );
  const ids = found.steps.map(({ item }) => jobs[item]?.id ?? '');
  return {
    order: ids,
    ahead: new Map(found.steps.flatMap(({ way }, at) => (way.ahead === null ? [] : [[ids[at] ?? '', way.ahead]]))),
    minutes: found.minutes + jobs.reduce((sum, { minutes }) => sum + minutes, 0),
    proven: found.proven && !jobs.some(runsWithoutBattery),
  };
}

/** Nonsense that no plan should ask for: changes around it are made one after the other, not looked for ahead. */
function runsWithoutBattery({ needs = {}, stages = [] }: Job): boolean {
  return [needs, ...stages].some(
    ({ engine, battery }) => battery === 'disconnected' && (engine === 'running' || engine === 'brief'),
  );
}

/** For each job the one before it in the list that needs, waits for, and is waited for by the same: either may come first. */
function twinsOf(
  jobs: readonly Job[],
  waits: readonly (readonly number[])[],
  closedBy: readonly (readonly number[])[],
): (number | null)[] {
  const last = new Map<string, number>();
  const closers = new Set(closedBy.flat());
  return jobs.map(({ needs = {}, stages = [] }, at) => {
    if (stages.length > 0 || closedBy[at]?.length !== 0 || closers.has(at)) return null;
    const followers = waits.flatMap((others, job) => (others.includes(at) ? [job] : []));
    const { engine, raised, fitted, battery, covers } = needs;
    const key = JSON.stringify([engine, raised, fitted, battery, covers, [...(waits[at] ?? [])].sort(), followers]);
    const twin = last.get(key) ?? null;
    last.set(key, at);
    return twin;
  });
}

const engineRanks: Readonly<Record<EngineNeed, number>> = { cold: 0, brief: 1, off: 2, any: 2, warm: 3, running: 4 };

/** While nothing has to change, access and part of the machine decide; where the engine has to change, cold goes first. */
function rankAfter(
  job: Job | undefined,
  last: Job | undefined,
  state: MachineState,
  changesNothing: boolean,
  index: number,
): readonly number[] {
  const covers = job?.needs?.covers ?? [];
  const sameCovers = covers.length > 0 && covers.join() === (last?.needs?.covers ?? []).join() ? 0 : 1;
  const newCovers = covers.filter((cover) => !state.coversOff.includes(cover)).length;
  const sameGroup = job?.group !== undefined && job.group === last?.group ? 0 : 1;
  const engine = changesNothing ? 0 : engineRanks[job?.needs?.engine ?? 'any'];
  return [engine, sameCovers, newCovers, sameGroup, index];
}
