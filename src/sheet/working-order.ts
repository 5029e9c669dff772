import type { EngineNeed, Task } from '../domain/task.js';
import { orderFault } from './errors.js';
import { asItStands, type Change, type MachineState, minutesOf, putBack, type Reached, reach } from './state.js';

/** A job as the order sees it. */
export type Job = Pick<Task, 'id' | 'minutes'> &
  Partial<Pick<Task, 'needs' | 'group'>> & { readonly after: readonly string[] };

/** Jobs in the order that takes the fewest minutes. */
export interface WorkingOrder {
  /** Ids, each once. */
  readonly order: readonly string[];
  /** Jobs, changes between them, and putting back at the end; covers count off and on. */
  readonly minutes: number;
  /** True where surely no other order takes fewer minutes. */
  readonly proven: boolean;
}

/** Positions looked at before the search gives up and takes the nearest job each time. */
const mostPositions = 4_000;

/** The order of least minutes in which jobs can follow each other, by search over what is done and how the machine stands.
 *  A change is made when it is first needed; a job that needs no change is done at once, since waiting cannot help. Each
 *  cover comes off once, whatever the order. Among equal orders: covers and group as in the job before, cold before warm
 *  before running, else the order given.
 *  @param jobs         ids unique, `after` naming other jobs; names that are not among them count for nothing
 *  @param finish       `running` where the engine has to run at the end
 *  @param positions    positions looked at before giving up; then `proven` is false
 *  @returns            no jobs give an empty order of 0 minutes, proven
 *  @throws             Fault order-impossible, where jobs wait for each other
 *  Source: dynamic programming over subsets, Held and Karp (1962). */
export function orderTasks(
  jobs: readonly Job[],
  finish: 'running' | 'any' = 'any',
  positions = mostPositions,
): WorkingOrder {
  const here = new Set(jobs.map(({ id }) => id));
  const waits = new Map(jobs.map(({ id, after }) => [id, after.filter((other) => here.has(other) && other !== id)]));
  const search = new Search(jobs, waits, finish, positions);
  const order: Job[] = [];
  const done = new Set<string>();
  let state = asItStands;
  while (order.length < jobs.length) {
    const next = search.next(done, state, order.at(-1));
    state = reach(state, next.needs ?? {}, 'bound').state;
    order.push(next);
    done.add(next.id);
  }
  const minutes = minutesInOrder(order, finish, 'still');
  // Every order takes at least its minutes without the stops for hands; the search found the least of those.
  const proven = search.complete && minutes === minutesInOrder(order, finish, 'bound');
  return { order: order.map(({ id }) => id), minutes, proven };
}

function minutesInOrder(order: readonly Job[], finish: 'running' | 'any', hands: 'still' | 'bound'): number {
  const changes: Change[] = [];
  let state = asItStands;
  for (const { needs } of order) {
    const reached = reach(state, needs ?? {}, hands);
    changes.push(...reached.changes);
    state = reached.state;
  }
  changes.push(...putBack(state, finish, hands).changes);
  changes.push(...state.coversOff.map((cover): Change => ({ kind: 'cover-on', cover })));
  return minutesOf(changes) + order.reduce((sum, { minutes }) => sum + minutes, 0);
}

class Search {
  /** Whether every position was looked at. */
  complete = true;
  private readonly least = new Map<string, number>();
  private readonly jobs: readonly Job[];
  private readonly waits: ReadonlyMap<string, readonly string[]>;
  private readonly finish: 'running' | 'any';
  private readonly positions: number;

  constructor(
    jobs: readonly Job[],
    waits: ReadonlyMap<string, readonly string[]>,
    finish: 'running' | 'any',
    positions: number,
  ) {
    this.jobs = jobs;
    this.waits = waits;
    this.finish = finish;
    this.positions = positions;
  }

  /** The job to do next: one that needs no change, else the first step of a quickest way to the end. */
  next(done: ReadonlySet<string>, state: MachineState, last: Job | undefined): Job {
    const open = this.open(done);
    const free = open.filter((job) => isFree(state, job));
    const candidates = free.length > 0 ? free : this.quickest(open, done, state);
    const [best] = candidates
      .map((job) => ({ job, rank: rankAfter(job, last, state, free.length > 0, this.jobs.indexOf(job)) }))
      .sort((a, b) => compareRanks(a.rank, b.rank));
    if (best === undefined) {
      const stuck = this.jobs.filter(({ id }) => !done.has(id)).map(({ id }) => id);
      throw orderFault('order-impossible', stuck);
    }
    return best.job;
  }

  private quickest(open: readonly Job[], done: ReadonlySet<string>, state: MachineState): Job[] {
    const ways = open.map((job) => {
      const reached = reach(state, job.needs ?? {}, 'bound');
      const onward = this.leastFrom(new Set(done).add(job.id), reached.state);
      return { job, step: costOf(reached), total: onward === null ? null : costOf(reached) + onward };
    });
    const totals = ways.map(({ total }) => total).filter((total) => total !== null);
    if (totals.length === ways.length) {
      const least = Math.min(...totals);
      return ways.filter(({ total }) => total === least).map(({ job }) => job);
    }
    this.complete = false;
    const nearest = Math.min(...ways.map(({ step }) => step));
    return ways.filter(({ step }) => step === nearest).map(({ job }) => job);
  }

  /** Least minutes of changes from here to the end, covers aside; null where the search gave up. */
  private leastFrom(done: Set<string>, from: MachineState): number | null {
    let state = from;
    for (let free = this.firstFree(done, state); free !== undefined; free = this.firstFree(done, state)) {
      done.add(free.id);
      state = reach(state, free.needs ?? {}, 'bound').state;
    }
    const open = this.open(done);
    if (open.length === 0) return costOf(putBack(state, this.finish, 'bound'));
    const key = positionKey(this.jobs, done, state);
    const known = this.least.get(key);
    if (known !== undefined) return known;
    if (this.least.size >= this.positions) return null;
    let least: number | null = null;
    for (const job of withoutTwins(open)) {
      const reached = reach(state, job.needs ?? {}, 'bound');
      const onward = this.leastFrom(new Set(done).add(job.id), reached.state);
      if (onward === null) return null;
      const total = costOf(reached) + onward;
      if (least === null || total < least) least = total;
    }
    if (least !== null) this.least.set(key, least);
    return least;
  }

  private firstFree(done: ReadonlySet<string>, state: MachineState): Job | undefined {
    return this.open(done).find((job) => isFree(state, job));
  }

  private open(done: ReadonlySet<string>): Job[] {
    return this.jobs.filter(({ id }) => !done.has(id) && (this.waits.get(id) ?? []).every((other) => done.has(other)));
  }
}

/** Each cover comes off once in any order, so that taking one off decides nothing. */
function costOf(reached: Reached): number {
  return minutesOf(reached.changes.filter(({ kind }) => kind !== 'cover-off'));
}

function isFree(state: MachineState, job: Job): boolean {
  return reach(state, job.needs ?? {}, 'bound').changes.every(({ kind }) => kind === 'cover-off');
}

/** Of jobs with equal needs one stands for all: once it is done, the others are free. Not so for a brief start. */
function withoutTwins(open: readonly Job[]): Job[] {
  const seen = new Set<string>();
  return open.filter(({ needs }) => {
    if (needs?.engine === 'brief') return true;
    const key = JSON.stringify([needs?.engine, needs?.raised, needs?.fitted, needs?.battery, needs?.covers]);
    return !seen.has(key) && seen.add(key);
  });
}

function positionKey(jobs: readonly Job[], done: ReadonlySet<string>, state: MachineState): string {
  const bits = jobs.map(({ id }) => (done.has(id) ? '1' : '0')).join('');
  return `${bits} ${state.engine} ${state.raised} ${state.battery} ${[...state.fittingsOff].sort().join('+')}`;
}

const engineRanks: Readonly<Record<EngineNeed, number>> = { cold: 0, brief: 1, off: 2, any: 2, warm: 3, running: 4 };

/** While nothing has to change, access and part of the machine decide; where the engine has to change, cold goes first. */
function rankAfter(
  job: Job,
  last: Job | undefined,
  state: MachineState,
  changesNothing: boolean,
  index: number,
): readonly number[] {
  const covers = job.needs?.covers ?? [];
  const sameCovers = covers.length > 0 && covers.join() === (last?.needs?.covers ?? []).join() ? 0 : 1;
  const newCovers = covers.filter((cover) => !state.coversOff.includes(cover)).length;
  const sameGroup = job.group !== undefined && job.group === last?.group ? 0 : 1;
  const engine = changesNothing ? 0 : engineRanks[job.needs?.engine ?? 'any'];
  return [engine, sameCovers, newCovers, sameGroup, index];
}

function compareRanks(a: readonly number[], b: readonly number[]): number {
  for (const [at, rank] of a.entries()) {
    const difference = rank - (b[at] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}
