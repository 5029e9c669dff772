import { expect, test } from 'vitest';
import type { Needs, Task } from '../domain/task.js';
import { groupBundles } from './group-tasks.js';
import { accessOf, sharedAccess } from './shared-access.js';

const task = (id: string, needs: Needs): Task => ({
  id,
  title: id,
  minutes: 10,
  by: 'owner',
  needs,
  steps: [],
  parts: [],
  fluids: [],
  measure: [],
  cautions: [],
  source: 'common practice, check your manual',
});

test('what stands cold and whole on its wheels needs no access', () => {
  expect(accessOf(task('look', { engine: 'cold', raised: 'none', covers: [], fitted: { loader: 'on' } }))).toEqual([]);
});

test('covers, lifts, fittings, battery and warming up are access, the longest first', () => {
  const keys = accessOf(
    task('much', {
      engine: 'warm',
      raised: 'rear',
      covers: ['hood'],
      fitted: { loader: 'off' },
      battery: 'disconnected',
    }),
  ).map(({ key }) => key);
  expect(keys).toEqual(['fitting loader', 'raised rear', 'warm', 'battery', 'cover hood']);
});

test('a step of its own counts once with its task', () => {
  const steps = [{ do: 'look', needs: { covers: ['hood'] } }];
  expect(accessOf({ ...task('belt', { covers: ['hood'] }), steps })).toHaveLength(1);
});

test('only what two bundles need is shared, and three do it once instead of three times', () => {
  const bundles = [{ raised: 'front' }, { raised: 'front', covers: ['hood'] }, { raised: 'front' }] as const;
  const shared = sharedAccess(bundles.map((needs, at) => [{ task: task(`t${at}`, needs) }]));
  expect(shared).toEqual([{ bundles: [0, 1, 2], saves: 0.12, kind: 'each' }]);
});

test('two jobs below the same deck share a day that each alone would not wait for', () => {
  const costs = [
    [0, 0.15, 0.3],
    [0.3, 0.15, 0],
  ];
  const setUp = 0.2;
  const apart = [[{ task: task('blades', { raised: 'front' }) }], [{ task: task('battery', {}) }]];
  expect(groupBundles(costs, setUp, sharedAccess(apart)).groups).toHaveLength(2);
  const deck = [[{ task: task('blades', { raised: 'front' }) }], [{ task: task('deck', { raised: 'front' }) }]];
  expect(groupBundles(costs, setUp, sharedAccess(deck)).groups).toHaveLength(1);
});
