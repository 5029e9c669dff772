import type { EngineNeed, Needs, Task } from '../domain/task.js';
import { orderFault } from './errors.js';
import { asItStands, type Change, type MachineState, minutesOf, putBack, type Reached, reachAll } from './state.js';

/** A job as the order sees it. */
export type Job = Pick<Task, 'id' | 'minutes'> &
  Partial<Pick<Task, 'needs' | 'group'>> & {
    readonly after: readonly string[];
    /** What its steps need one after the other, beyond what the job needs from its start. */
    readonly stages?: readonly Needs[];
    /** Jobs that close what it leaves open: nothing comes between but what they wait for. */
    readonly closedBy?: readonly string[];
  };

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
const mostPositions = 40_000;

/** The order of least minutes in which jobs can follow each other, by search over what is done and how the machine stands.
 *  A change is made when it is first needed; a job that needs no change is done at once, since waiting cannot help. Among equal
 *  orders: covers and group as in the job before, cold before warm before running, else the order given.
 *  @param jobs         ids unique, `after` and `closedBy` naming other jobs; names that are not among them count for nothing
 *  @param finish       `running` where the engine has to run at the end
 *  @param positions    positions looked at before giving up; then `proven` is false
 *  @param from         how the machine was found
 *  @returns            no jobs give an empty order of 0 minutes, proven
 *  @throws             Fault order-impossible, where jobs wait for each other
 *  Source: dynamic programming over subsets, Held and Karp (1962). */
export function orderTasks(
  jobs: readonly Job[],
  finish: 'running' | 'any' = 'any',
  positions = mostPositions,
  from: MachineState = asItStands,
): WorkingOrder {
  const search = new Search(jobs, finish, positions);
  const order: Job[] = [];
  let done = nothing;
  let state = from;
  while (order.length < jobs.length) {
    const next = search.next(done, state, order.at(-1));
    state = through(state, next).state;
    order.push(next);
    done |= search.bitOf(next.id);
  }
  return {
    order: order.map(({ id }) => id),
    minutes: minutesInOrder(order, finish, from),
    proven: search.complete && !mayPutBackInTime(jobs, finish),
  };
}

/** With an end raised or a fitting taken off for some work and the engine running for other or at the end, an order may gain by putting back
 *  before anything asks for it. The search does not try that: it puts back when a job wants it or at the end, and stops the engine for it. */
function mayPutBackInTime(jobs: readonly Job[], finish: 'running' | 'any'): boolean {
  const wants = jobs.flatMap((job) => [job.needs ?? {}, ...(job.stages ?? [])]);
  const isMoved = wants.some(
    ({ raised, fitted }) => (raised !== undefined && raised !== 'none') || Object.keys(fitted ?? {}).length > 0,
  );
  return isMoved && (finish === 'running' || wants.some(({ engine }) => engine === 'running'));
}

function through(state: MachineState, job: Job): Reached {
  return reachAll(state, [job.needs ?? {}, ...(job.stages ?? [])]);
}

function minutesInOrder(order: readonly Job[], finish: 'running' | 'any', from: MachineState): number {
  const changes: Change[] = [];
  let state = from;
  for (const job of order) {
    const reached = through(state, job);
    changes.push(...reached.changes);
    state = reached.state;
  }
  changes.push(...putBack(state, finish).changes);
  return minutesOf(changes) + order.reduce((sum, { minutes }) => sum + minutes, 0);
}

/** A job with its place in sets of jobs; those are numbers of as many bits as there are jobs. */
interface Placed {
  readonly job: Job;
  readonly bit: bigint;
  readonly waits: bigint;
  readonly closedBy: bigint;
  /** Equal for jobs of which one stands for all; empty for a job that stands for itself only. */
  readonly twin: string;
}

/** Where a job leads from a state. */
interface Way {
  readonly to: MachineState;
  readonly minutes: number;
  /** Done at once: it changes nothing, and leaves nothing open that something else has to close. */
  readonly isFree: boolean;
}

const nothing = 0n;

class Search {
  /** Whether every position was looked at. */
  complete = true;
  private readonly least = new Map<string, number>();
  private readonly ways = new Map<string, Way>();
  private readonly keys = new Map<MachineState, string>();
  private readonly states = new Map<string, MachineState>();
  private readonly placed: readonly Placed[];
  private readonly closed: readonly Placed[];
  private readonly jobs: readonly Job[];
  private readonly finish: 'running' | 'any';
  private readonly positions: number;

  constructor(jobs: readonly Job[], finish: 'running' | 'any', positions: number) {
    this.jobs = jobs;
    this.finish = finish;
    this.positions = positions;
    const bits = new Map(jobs.map(({ id }, at) => [id, 1n << BigInt(at)]));
    const setOf = (ids: readonly string[]) => ids.reduce((set, id) => set | (bits.get(id) ?? nothing), nothing);
    this.placed = jobs.map((job) => {
      const bit = setOf([job.id]);
      const closedBy = setOf(job.closedBy ?? []) & ~bit;
      return { job, bit, waits: setOf(job.after) & ~bit, closedBy, twin: closedBy === nothing ? twinOf(job) : '' };
    });
    this.closed = this.placed.filter(({ closedBy }) => closedBy !== nothing);
  }

  bitOf(id: string): bigint {
    return this.placed.find(({ job }) => job.id === id)?.bit ?? nothing;
  }

  /** The job to do next: one that needs no change, else the first step of a quickest way to the end. */
  next(done: bigint, from: MachineState, last: Job | undefined): Job {
    const state = this.known(from);
    const open = this.open(done);
    const free = open.filter((placed) => this.wayOf(state, placed).isFree);
    const candidates = free.length > 0 ? free : this.quickest(open, done, state);
    const [best] = candidates
      .map(({ job }) => ({ job, rank: rankAfter(job, last, state, free.length > 0, this.jobs.indexOf(job)) }))
      .sort((a, b) => compareRanks(a.rank, b.rank));
    if (best === undefined) {
      const stuck = this.placed.filter(({ bit }) => (done & bit) === nothing).map(({ job }) => job.id);
      throw orderFault('order-impossible', stuck);
    }
    return best.job;
  }

  private quickest(open: readonly Placed[], done: bigint, state: MachineState): Placed[] {
    const ways = open.map((placed) => {
      const { to, minutes } = this.wayOf(state, placed);
      const onward = this.leastFrom(done | placed.bit, to);
      return { placed, step: minutes, total: onward === null ? null : minutes + onward };
    });
    const totals = ways.map(({ total }) => total).filter((total) => total !== null);
    if (totals.length === ways.length) {
      const least = Math.min(...totals);
      return ways.filter(({ total }) => total === least).map(({ placed }) => placed);
    }
    this.complete = false;
    const nearest = Math.min(...ways.map(({ step }) => step));
    return ways.filter(({ step }) => step === nearest).map(({ placed }) => placed);
  }

  /** Least minutes of changes from here to the end; null where the search gave up. */
  private leastFrom(before: bigint, state: MachineState): number | null {
    let done = before;
    let open = this.open(done);
    for (let at = 0; at < open.length; ) {
      const placed = open[at];
      if (placed === undefined || !this.wayOf(state, placed).isFree) {
        at += 1;
        continue;
      }
      done |= placed.bit;
      open = this.open(done);
      at = 0;
    }
    if (open.length === 0) return minutesOf(putBack(state, this.finish).changes);
    const key = `${done} ${this.keyOf(state)}`;
    const known = this.least.get(key);
    if (known !== undefined) return known;
    if (this.least.size >= this.positions) return null;
    let least: number | null = null;
    for (const placed of withoutTwins(open)) {
      const { to, minutes } = this.wayOf(state, placed);
      const onward = this.leastFrom(done | placed.bit, to);
      if (onward === null) return null;
      if (least === null || minutes + onward < least) least = minutes + onward;
    }
    if (least !== null) this.least.set(key, least);
    return least;
  }

  /** What can come next: while something waits to be closed, only what closes it, and what that waits for. */
  private open(done: bigint): Placed[] {
    const open = this.placed.filter(({ bit, waits }) => (done & bit) === nothing && (waits & ~done) === nothing);
    let wanted = nothing;
    for (const { bit, closedBy } of this.closed) if ((done & bit) !== nothing) wanted |= closedBy & ~done;
    if (wanted === nothing) return open;
    for (let before = nothing; before !== wanted; ) {
      before = wanted;
      for (const { bit, waits } of this.placed) if ((wanted & bit) !== nothing) wanted |= waits & ~done;
    }
    const closing = open.filter(({ bit }) => (wanted & bit) !== nothing);
    return closing.length > 0 ? closing : open;
  }

  private wayOf(state: MachineState, { job, closedBy }: Placed): Way {
    const key = `${job.id} ${this.keyOf(state)}`;
    const known = this.ways.get(key);
    if (known !== undefined) return known;
    const reached = through(state, job);
    const isFree = closedBy === nothing && reached.changes.length === 0;
    const way = { to: this.known(reached.state), minutes: minutesOf(reached.changes), isFree };
    this.ways.set(key, way);
    return way;
  }

  /** The one object that stands for this state. */
  private known(state: MachineState): MachineState {
    const key = keyOfState(state);
    const known = this.states.get(key) ?? state;
    this.states.set(key, known);
    this.keys.set(known, key);
    return known;
  }

  private keyOf(state: MachineState): string {
    return this.keys.get(state) ?? keyOfState(state);
  }
}

function keyOfState(state: MachineState): string {
  const [fittings, covers] = [state.fittingsOff, state.coversOff].map((ids) => [...ids].sort().join('+'));
  return `${state.engine} ${state.raised} ${state.battery} ${fittings} ${covers}`;
}

/** Of jobs with equal needs one stands for all: once it is done, the others are free. Not so for a brief start, steps that
 *  change the state, and what has to be closed. */
function withoutTwins(open: readonly Placed[]): Placed[] {
  const seen = new Set<string>();
  return open.filter(({ twin }) => twin === '' || (!seen.has(twin) && seen.add(twin)));
}

function twinOf({ needs = {}, stages = [] }: Job): string {
  if (needs.engine === 'brief' || stages.length > 0) return '';
  return JSON.stringify([needs.engine, needs.raised, needs.fitted, needs.battery, needs.covers]);
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
