import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Needs } from '../domain/task.js';
import { asItStands, type Change, minutesOf, putBack, reach } from './state.js';
import { type Job, orderTasks } from './working-order.js';

const job = (id: string, needs: Needs = {}, after: readonly string[] = []): Job => ({ id, minutes: 5, needs, after });

/** Minutes of one order, reckoned without the search. */
function minutesInOrder(jobs: readonly Job[], finish: 'running' | 'any'): number {
  let state = asItStands;
  const changes: Change[] = [];
  for (const { needs } of jobs) {
    const reached = reach(state, needs ?? {});
    changes.push(...reached.changes);
    state = reached.state;
  }
  changes.push(...putBack(state, finish).changes);
  return minutesOf(changes) + jobs.reduce((sum, { minutes }) => sum + minutes, 0);
}

function* permutations<T>(items: readonly T[]): Generator<T[]> {
  if (items.length === 0) yield [];
  for (const [at, item] of items.entries()) {
    for (const rest of permutations(items.filter((_, index) => index !== at))) yield [item, ...rest];
  }
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

test('no order takes fewer minutes than the one that is called proven', () => {
  fc.assert(
    fc.property(jobLists(6), finishes, (jobs, finish) => {
      const { minutes, proven } = orderTasks(jobs, finish);
      let least = Number.POSITIVE_INFINITY;
      for (const order of permutations(jobs)) {
        if (respectsAfter(order)) least = Math.min(least, minutesInOrder(order, finish));
      }
      // A running engine may have to be stopped for hands; without one, a search that looked everywhere has proven it.
      const runs = finish === 'running' || jobs.some((candidate) => candidate.needs?.engine === 'running');
      expect(proven || runs).toBe(true);
      if (proven) expect(minutes).toBe(least);
      expect(minutes).toBeGreaterThanOrEqual(least);
    }),
    { numRuns: 300 },
  );
});

test('an order that putting back in time might shorten is not called proven', () => {
  const axle = job('axle', { raised: 'rear' });
  const level = job('level', { raised: 'none' });
  expect(orderTasks([level, axle, job('charge', { engine: 'running' })]).proven).toBe(false);
  expect(orderTasks([level, axle]).proven).toBe(true);
});

test('the minutes told are those of the order told', () => {
  fc.assert(
    fc.property(jobLists(12), finishes, (jobs, finish) => {
      const { order, minutes } = orderTasks(jobs, finish);
      const inOrder = order.flatMap((id) => jobs.filter((candidate) => candidate.id === id));
      expect(minutes).toBe(minutesInOrder(inOrder, finish));
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
  expect(orderTasks([])).toEqual({ order: [], minutes: 0, proven: true });
});
