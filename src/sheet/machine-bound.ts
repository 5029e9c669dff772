import type { EngineNeed, Needs } from '../domain/task.js';
import type { Job } from './job.js';
import { type Aspect, boundOfAspects } from './order-bound.js';
import { type Change, type MachineState, minutesOf } from './state.js';

const engines = ['cold', 'warm', 'running'] as const;
const ends = ['none', 'front', 'rear'] as const;
const suitsEngine: Readonly<Record<EngineNeed, number>> = { cold: 1, warm: 2, running: 4, off: 3, brief: 3, any: 0 };

/** Minutes that the jobs left take at least, putting back included: engine, ends, fittings, covers and battery each by itself, as if
 *  none of them stood in the way of another.
 *  @param jobs    all that are put in order; of a job with steps of its own its first needs count
 *  @param finish  `running` where the engine has to run at the end
 *  Source: relaxation, common practice. */
export function machineBound(
  jobs: readonly Pick<Job, 'needs' | 'stages'>[],
  finish: 'running' | 'any',
): (state: MachineState, isLeft: (item: number) => boolean) => number {
  const needs = jobs.map((job) => job.needs ?? {});
  const fittings = namesIn(jobs, ({ fitted }) => Object.keys(fitted ?? {}));
  const covers = namesIn(jobs, ({ covers: names }) => names ?? []);
  const wantsRunning = engineMinutes.map((row) => (finish === 'running' ? (row[2] ?? 0) : 0));
  const aspects: Aspect<MachineState>[] = [
    {
      minutes: engineMinutes,
      suits: needs.map(({ engine }) => suitsEngine[engine ?? 'any']),
      end: wantsRunning,
      valueOf: ({ engine }) => engines.indexOf(engine),
    },
    {
      minutes: ends.map((from) => ends.map((to) => raiseMinutes(from, to))),
      suits: needs.map(({ raised }) => (raised === undefined || raised === 'any' ? 0 : 1 << ends.indexOf(raised))),
      end: ends.map((from) => raiseMinutes(from, 'none')),
      valueOf: ({ raised }) => ends.indexOf(raised),
    },
    twoSided(
      'battery-off',
      'battery-on',
      needs.map(({ battery }) => (battery === undefined ? 0 : battery === 'connected' ? 1 : 2)),
      ({ battery }) => battery === 'disconnected',
    ),
    ...fittings.map((fitting) =>
      twoSided(
        'fitting-off',
        'fitting-on',
        needs.map(({ fitted }) => (fitted?.[fitting] === undefined ? 0 : fitted[fitting] === 'on' ? 1 : 2)),
        ({ fittingsOff }) => fittingsOff.includes(fitting),
      ),
    ),
    ...covers.map((cover) =>
      twoSided(
        'cover-off',
        'cover-on',
        needs.map(({ covers: names }) =>
          names === undefined ? 0 : names.length === 0 ? 1 : names.includes(cover) ? 2 : 0,
        ),
        ({ coversOff }) => coversOff.includes(cover),
      ),
    ),
  ];
  return boundOfAspects(
    aspects,
    needs.map(({ engine }) => (engine === 'brief' ? minutesOf([{ kind: 'brief' }]) : 0)),
  );
}

const of = (...kinds: ('warm-up' | 'run-warm' | 'cool-down' | 'start' | 'stop')[]) =>
  minutesOf(kinds.map((kind) => ({ kind })));
const engineMinutes = [
  [0, of('run-warm'), of('warm-up')],
  [of('cool-down'), 0, of('start')],
  [of('stop', 'cool-down'), of('stop'), 0],
];

function raiseMinutes(from: MachineState['raised'], to: MachineState['raised']): number {
  if (from === to) return 0;
  const changes: Change[] = [];
  if (from !== 'none') changes.push({ kind: 'lower', end: from });
  if (to !== 'none') changes.push({ kind: 'raise', end: to });
  return minutesOf(changes);
}

/** On or connected is 0, off is 1; on at the end. */
function twoSided(
  offKind: 'battery-off' | 'fitting-off' | 'cover-off',
  onKind: 'battery-on' | 'fitting-on' | 'cover-on',
  suits: readonly number[],
  isOff: (state: MachineState) => boolean,
): Aspect<MachineState> {
  const [off, on] = [offKind, onKind].map((kind) => minutesOf([changeOf(kind)]));
  return {
    minutes: [
      [0, off ?? 0],
      [on ?? 0, 0],
    ],
    suits,
    end: [0, on ?? 0],
    valueOf: (state) => (isOff(state) ? 1 : 0),
  };
}

function changeOf(
  kind: 'battery-off' | 'battery-on' | 'fitting-off' | 'fitting-on' | 'cover-off' | 'cover-on',
): Change {
  switch (kind) {
    case 'battery-off':
    case 'battery-on':
      return { kind };
    case 'fitting-off':
    case 'fitting-on':
      return { kind, fitting: '' };
    case 'cover-off':
    case 'cover-on':
      return { kind, cover: '' };
  }
}

function namesIn(
  jobs: readonly Pick<Job, 'needs' | 'stages'>[],
  namesOf: (needs: Needs) => readonly string[],
): string[] {
  return [...new Set(jobs.flatMap(({ needs = {}, stages = [] }) => [needs, ...stages].flatMap(namesOf)))];
}
