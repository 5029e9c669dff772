import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Needs } from '../domain/task.js';
import type { Job } from './job.js';
import { asItStands, type Change, type MachineState, minutesOf, putBack, reach, reachAll } from './state.js';
import { keyOfState } from './ways-through.js';
import { orderTasks, type WorkingOrder } from './working-order.js';

const job = (id: string, needs: Needs = {}, after: readonly string[] = []): Job => ({ id, minutes: 5, needs, after });

/** Minutes of one order as it is told, reckoned without the search. */
function minutesAsTold(jobs: readonly Job[], { order, ahead }: WorkingOrder, finish: 'running' | 'any'): number {
  let state = asItStands;
  const changes: Change[] = [];
  for (const id of order) {
    const needs = jobs.find((candidate) => candidate.id === id)?.needs ?? {};
    const early = ahead.get(id);
    const reached = reachAll(state, early === undefined ? [needs] : [early, needs]);
    changes.push(...reached.changes);
    state = reached.state;
  }
  changes.push(...putBack(state, finish).changes);
  return minutesOf(changes) + jobs.reduce((sum, { minutes }) => sum + minutes, 0);
}

const coverLists = [[], ['hood'], ['panel'], ['hood', 'panel']];

/** Everything that hands can be told to do to the machine, whether a job asks for it or not; only a job may run the engine with a
 *  cover off. */
const whims: readonly Needs[] = (['cold', 'warm', 'running', 'off', 'any'] as const).flatMap((engine) =>
  (['none', 'front', 'rear', 'any'] as const).flatMap((raised) =>
    [{}, { fitted: { loader: 'on' as const } }, { fitted: { loader: 'off' as const } }].flatMap((fitted) =>
      [{}, { battery: 'connected' as const }, { battery: 'disconnected' as const }].flatMap((battery) =>
        [{}, ...(engine === 'running' ? [[]] : coverLists).map((covers) => ({ covers }))].map((covers) => ({
          engine,
          raised,
          ...fitted,
          ...battery,
          ...covers,
        })),
      ),
    ),
  ),
);

/** All states there are, and the least minutes of one whim between any two of them. */
const { states, whimMinutes } = (() => {
  const numbers = new Map([[keyOfState(asItStands), 0]]);
  const found: MachineState[] = [asItStands];
  const between: number[][] = [];
  for (const [from, state] of found.entries()) {
    const row: number[] = [];
    const numberOf = (to: MachineState) => {
      const at = numbers.get(keyOfState(to)) ?? found.push(to) - 1;
      numbers.set(keyOfState(to), at);
      return at;
    };
    // States that only a job leads to.
    for (const covers of coverLists) numberOf(reach(state, { engine: 'running', covers }).state);
    for (const whim of whims) {
      const { state: to, changes } = reach(state, whim);
      const at = numberOf(to);
      row[at] = Math.min(row[at] ?? Number.POSITIVE_INFINITY, minutesOf(changes));
    }
    row[from] = 0;
    between.push(row);
  }
  return { states: found, whimMinutes: between };
})();
const stateNumbers = new Map(states.map((state, at) => [keyOfState(state), at]));
const never = Number.POSITIVE_INFINITY;

/** The least minutes of all orders with any change of the machine between any two jobs: every state after every set of jobs, without
 *  a bound and without leaving anything out. */
function leastByTryingAll(jobs: readonly Job[], finish: 'running' | 'any'): number {
  const index = new Map(jobs.map(({ id }, at) => [id, at]));
  const through = jobs.map(({ needs = {} }) =>
    states.map((state) => {
      const { state: to, changes } = reach(state, needs);
      return { to: stateNumbers.get(keyOfState(to)) ?? fail(), minutes: minutesOf(changes) };
    }),
  );
  const withWhim = (spent: readonly number[]) =>
    states.map((_, to) =>
      spent.reduce((least, here, from) => Math.min(least, here + (whimMinutes[from]?.[to] ?? never)), never),
    );
  const best: number[][] = Array.from({ length: 1 << jobs.length }, () => states.map(() => never));
  best[0] = states.map((_, at) => (at === 0 ? 0 : never));
  for (const [set, spent] of best.entries()) {
    const after = withWhim(spent);
    for (const [at, job] of jobs.entries()) {
      if ((set >> at) & 1 || job.after.some((other) => !((set >> (index.get(other) ?? 0)) & 1))) continue;
      const target = best[set | (1 << at)] ?? [];
      for (const [state, way] of (through[at] ?? []).entries()) {
        target[way.to] = Math.min(target[way.to] ?? never, (after[state] ?? never) + way.minutes);
      }
    }
    best[set] = after;
  }
  const ends = states.map((state, at) => (best.at(-1)?.[at] ?? never) + minutesOf(putBack(state, finish).changes));
  return Math.min(...ends) + jobs.reduce((sum, { minutes }) => sum + minutes, 0);
}

function fail(): never {
  throw new Error('a state that no whim leads to');
}

const respectsAfter = (order: readonly Job[]): boolean =>
  order.every(({ after }, at) => after.every((other) => order.findIndex(({ id }) => id === other) < at));

const needs: fc.Arbitrary<Needs> = fc.record(
  {
    engine: fc.constantFrom('cold', 'warm', 'running', 'brief', 'off', 'any'),
    raised: fc.constantFrom('none', 'front', 'rear', 'any'),
    covers: fc.subarray(['hood', 'panel']),
    fitted: fc.constantFrom({ loader: 'on' }, { loader: 'off' }),
    battery: fc.constantFrom('connected', 'disconnected'),
  },
  { requiredKeys: [] },
);
const jobLists = (most: number) =>
  fc
    .array(fc.tuple(needs, fc.array(fc.nat(most), { maxLength: 2 })), { minLength: 1, maxLength: most })
    .map((drafts) =>
      drafts.map(([wanted, others], at) =>
        job(
          `t${at}`,
          wanted,
          [...new Set(others)].filter((other) => other < at).map((other) => `t${other}`),
        ),
      ),
    )
    // `after` points backwards in the list, so the list is dealt anew.
    .chain((jobs) => fc.shuffledSubarray(jobs, { minLength: jobs.length, maxLength: jobs.length }));
const finishes = fc.constantFrom('running', 'any');

test('the order holds every job once and respects after', () => {
  fc.assert(
    fc.property(jobLists(25), finishes, (jobs, finish) => {
      const { order } = orderTasks(jobs, finish);
      expect([...order].sort()).toEqual(jobs.map(({ id }) => id).sort());
      expect(respectsAfter(order.flatMap((id) => jobs.filter((candidate) => candidate.id === id)))).toBe(true);
    }),
  );
});

/** An engine that runs with its battery out is nonsense: the order of such jobs is never called proven. */
const isDeadRun = ({ needs }: Job) =>
  needs?.battery === 'disconnected' && (needs.engine === 'running' || needs.engine === 'brief');
const withoutStrangers = (one: Job, _: number, all: readonly Job[]): Job => ({
  ...one,
  after: one.after.filter((other) => all.some(({ id }) => id === other)),
});

test('no order takes fewer minutes, whatever else is done to the machine between the jobs: 500 cases of up to eight', () => {
  fc.assert(
    fc.property(jobLists(8), finishes, (drafts, finish) => {
      const jobs = drafts.filter((draft) => !isDeadRun(draft)).map(withoutStrangers);
      const found = orderTasks(jobs, finish);
      expect(found.proven).toBe(true);
      expect(found.minutes).toBe(leastByTryingAll(jobs, finish));
      expect(found.minutes).toBe(minutesAsTold(jobs, found, finish));
    }),
    { numRuns: 500, seed: 7 },
  );
}, 120_000);

test('an engine that is to run with its battery out proves nothing', () => {
  expect(orderTasks([job('charge', { engine: 'running', battery: 'disconnected' })]).proven).toBe(false);
});

test('a loader that comes back on is put back before the engine runs, not after', () => {
  const jobs = [
    job('pins', { fitted: { loader: 'on' } }),
    job('axle', { raised: 'rear', fitted: { loader: 'off' } }, ['pins']),
    job('charge', { engine: 'running' }, ['axle']),
  ];
  const { minutes, ahead, proven } = orderTasks(jobs, 'running');
  expect(proven).toBe(true);
  expect(minutes).toBe(15 + 12 + 8 + 4 + 12 + 10);
  expect(ahead.get('charge')).toMatchObject({ raised: 'none', fitted: { loader: 'on' } });
});

test('what a cover is taken off for comes after the warm-up that a later job asks for below the same cover', () => {
  const jobs = [job('look', { covers: ['panel'] }), job('drain', { engine: 'warm', covers: ['panel'] }, ['look'])];
  const { minutes, ahead } = orderTasks(jobs);
  expect(minutes).toBe(10 + 11 + 5);
  expect(ahead.get('look')).toEqual({ engine: 'warm' });
});

test('the minutes told are those of the order told', () => {
  fc.assert(
    fc.property(jobLists(12), finishes, (jobs, finish) => {
      const found = orderTasks(jobs, finish);
      expect(found.minutes).toBe(minutesAsTold(jobs, found, finish));
    }),
  );
});

test('cold jobs come before the one warm-up, and running ones need no second', () => {
  const jobs = [
    job('drain', { engine: 'warm' }),
    job('listen', { engine: 'running' }),
    job('belt', { engine: 'cold' }),
  ];
  expect(orderTasks(jobs, 'running')).toMatchObject({
    order: ['belt', 'drain', 'listen'],
    minutes: 15 + 12,
    proven: true,
  });
});

test('jobs on the same raised end share one lift', () => {
  const jobs = [job('a', { raised: 'rear' }), job('b', { raised: 'none' }), job('c', { raised: 'rear' })];
  expect(orderTasks(jobs).minutes).toBe(15 + 8 + 4);
});

test('jobs below the same cover are neighbours, and each cover comes off once', () => {
  const jobs = [
    job('spring', { covers: ['plate'] }),
    job('belt', { covers: ['hood'] }),
    job('filter', { covers: ['plate'] }),
    job('hose', { covers: ['hood'] }),
  ];
  const { order, minutes } = orderTasks(jobs);
  expect(order).toEqual(['spring', 'filter', 'belt', 'hose']);
  expect(minutes).toBe(20 + 2 * (2 + 3));
});

test('greasing that wants the loader on comes before the loader goes off', () => {
  const jobs = [job('frame', { fitted: { loader: 'off' } }), job('pins', { fitted: { loader: 'on' } })];
  expect(orderTasks(jobs).order).toEqual(['pins', 'frame']);
});

test('nothing starts while the battery is off', () => {
  const { changes } = reach({ ...asItStands, battery: 'disconnected' }, { engine: 'running' });
  expect(changes.map(({ kind }) => kind)).toEqual(['battery-on', 'warm-up']);
});

test('hands go near a cover only after the engine was stopped', () => {
  const { changes } = reach({ ...asItStands, engine: 'running' }, { engine: 'running', covers: ['hood'] });
  expect(changes.map(({ kind }) => kind)).toEqual(['stop', 'cover-off', 'start']);
});

test('a guard that is off goes on before each start, and off again only where the job wants it off', () => {
  const open = { ...asItStands, coversOff: ['guard', 'hood'] };
  const kinds = (needs: Needs) => reach(open, needs).changes.map(({ kind }) => kind);
  expect(kinds({ engine: 'running' })).toEqual(['cover-on', 'cover-on', 'warm-up']);
  expect(kinds({ engine: 'brief' })).toEqual(['cover-on', 'cover-on', 'brief']);
  expect(kinds({ engine: 'running', covers: ['hood'] })).toEqual(['cover-on', 'warm-up']);
  // Its run comes before the warm job, whose cover comes off after it.
  expect(kinds({ engine: 'warm', covers: ['hood'] })).toEqual(['cover-on', 'cover-on', 'run-warm', 'cover-off']);
  expect(kinds({ covers: [] })).toEqual(['cover-on', 'cover-on']);
  expect(kinds({ engine: 'off' })).toEqual([]);
});

test('what a job leaves open is closed by the next, before work that would be quicker', () => {
  const jobs: Job[] = [
    { ...job('wheels', { raised: 'front' }), closedBy: ['bolts'] },
    job('steering', { raised: 'front' }),
    job('bolts', { raised: 'none' }, ['wheels']),
  ];
  const { order, proven } = orderTasks(jobs);
  expect(order.indexOf('bolts')).toBe(order.indexOf('wheels') + 1);
  expect(proven).toBe(true);
});

test('only what the closing job waits for comes between', () => {
  const jobs: Job[] = [
    { ...job('drain', { engine: 'warm' }), closedBy: ['fill'] },
    job('listen', { engine: 'running' }),
    job('filter', { engine: 'warm' }, ['drain']),
    job('fill', { engine: 'off' }, ['drain', 'filter']),
  ];
  const { order } = orderTasks(jobs);
  const at = order.indexOf('drain');
  expect(order.slice(at, at + 3)).toEqual(['drain', 'filter', 'fill']);
});

test('steps that change the machine count: a job that runs the engine itself comes after the cold ones', () => {
  const jobs: Job[] = [
    { ...job('lay-up', { engine: 'cold' }), stages: [{ engine: 'running' }] },
    job('belt', { engine: 'cold' }),
  ];
  expect(orderTasks(jobs)).toMatchObject({ order: ['belt', 'lay-up'], minutes: 10 + 10, proven: true });
});

test('a machine found with its battery out is worked on so, and connected once before the first start', () => {
  const jobs = [job('start', { engine: 'brief' }), job('posts', { battery: 'disconnected' })];
  const { order, minutes } = orderTasks(jobs, 'any', undefined, { ...asItStands, battery: 'disconnected' });
  expect(order).toEqual(['posts', 'start']);
  expect(minutes).toBe(10 + 3 + 2);
});

test('a search that gave up says so, and its order still holds', () => {
  const engines = ['cold', 'warm', 'brief'] as const;
  const jobs = engines.flatMap((engine) =>
    (['front', 'rear', 'none'] as const).map((raised) => job(`${engine}-${raised}`, { engine, raised })),
  );
  const { order, proven } = orderTasks(jobs, 'any', 5);
  expect(proven).toBe(false);
  expect(new Set(order).size).toBe(jobs.length);
  expect(orderTasks(jobs).proven).toBe(true);
});

test('jobs that wait for each other are refused by name', () => {
  expect(() => orderTasks([job('a', {}, ['b']), job('b', {}, ['a'])])).toThrow(
    expect.objectContaining({ code: 'order-impossible', found: 'a, b' }),
  );
});

test('no jobs are in order', () => {
  expect(orderTasks([])).toMatchObject({ order: [], minutes: 0, proven: true });
});
