import type { Needs } from '../domain/task.js';
import type { Job } from './job.js';
import type { Way } from './order-problem.js';
import { type MachineState, minutesOf, putBack, type Reached, reachAll } from './state.js';

/** A way through a job, with what is changed ahead of it for later ones. */
export interface MachineWay extends Way<MachineState> {
  readonly ahead: Needs | null;
}

type Wanted = Pick<Job, 'needs' | 'stages'>;

/** Every way through a job that can be part of a best order. What stands still is changed when it is first needed: later is as
 *  quick. Only two things pay ahead of time: hands on the machine before an engine that then runs on, and a warm-up before something is
 *  opened or disconnected that a later warm-up would ask back.
 *  @param jobs  all that are put in order, for what else they want
 *  Source: common practice, no source. */
export function waysThrough(jobs: readonly Wanted[]): (state: MachineState, at: number) => MachineWay[] {
  const wants = jobs.flatMap((job) => allNeeds(job));
  const raisedWanted = [
    ...new Set(wants.flatMap(({ raised }) => (raised === undefined || raised === 'any' ? [] : [raised]))),
  ];
  const fittings = [...new Set(wants.flatMap(({ fitted }) => Object.keys(fitted ?? {})))];
  const disconnects = wants.some(({ battery }) => battery === 'disconnected');
  const warms = wants.some(({ engine }) => engine === 'warm');
  return (state, at) => {
    const needs = allNeeds(jobs[at]);
    const lazy = reachAll(state, needs);
    const ways: MachineWay[] = [wayOf(lazy, null)];
    const ahead: Needs[] = [];
    const isRunningAfter = lazy.state.engine === 'running';
    const standsFirst =
      state.engine !== 'running' || lazy.changes.some(({ kind }) => kind === 'stop' || kind === 'brief');
    if (isRunningAfter && standsFirst) ahead.push(...handsAhead(state, raisedWanted, fittings, disconnects));
    const opens = lazy.changes.some(({ kind }) => kind === 'cover-off' || kind === 'battery-off');
    if (warms && state.engine === 'cold' && opens && lazy.state.engine === 'cold') ahead.push({ engine: 'warm' });
    for (const first of ahead) {
      const reached = reachAll(state, [first, ...needs]);
      ways.push(wayOf(reached, first));
    }
    return cheapestOfEach(ways);
  };
}

/** Minutes of putting back. */
export function endMinutes(state: MachineState, finish: 'running' | 'any'): number {
  return minutesOf(putBack(state, finish).changes);
}

/** Equal for states from which everything takes the same.
 *  Source: definition. */
export function keyOfState(state: MachineState): string {
  const [fittings, covers] = [state.fittingsOff, state.coversOff].map((ids) => [...ids].sort().join('+'));
  return `${state.engine} ${state.raised} ${state.battery} ${fittings} ${covers}`;
}

function allNeeds(job: Wanted | undefined): Needs[] {
  return [job?.needs ?? {}, ...(job?.stages ?? [])];
}

function wayOf({ state, changes }: Reached, ahead: Needs | null): MachineWay {
  return { to: state, minutes: minutesOf(changes), ahead };
}

/** Other ends, fittings and battery than now, in every combination. */
function handsAhead(
  state: MachineState,
  raisedWanted: readonly MachineState['raised'][],
  fittings: readonly string[],
  disconnects: boolean,
): Needs[] {
  const ends = [...new Set([state.raised, 'none' as const, ...raisedWanted])];
  const batteries = disconnects ? (['connected', 'disconnected'] as const) : [state.battery];
  const combinations: Needs[] = [];
  for (const raised of ends) {
    for (const battery of batteries) {
      for (let bits = 0; bits < 1 << Math.min(fittings.length, 4); bits++) {
        const moved = fittings.filter((_, at) => (bits >> at) & 1);
        const fitted = Object.fromEntries(
          moved.map((fitting) => [fitting, state.fittingsOff.includes(fitting) ? ('on' as const) : ('off' as const)]),
        );
        if (raised === state.raised && battery === state.battery && moved.length === 0) continue;
        combinations.push({ raised, battery, fitted });
      }
    }
  }
  return combinations;
}

/** Of ways to one state the quickest, the first among equals. */
function cheapestOfEach(ways: readonly MachineWay[]): MachineWay[] {
  const best = new Map<string, MachineWay>();
  for (const way of ways) {
    const key = keyOfState(way.to);
    const known = best.get(key);
    if (known === undefined || way.minutes < known.minutes) best.set(key, way);
  }
  return [...best.values()];
}
