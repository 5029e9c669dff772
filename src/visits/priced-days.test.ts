import fc from 'fast-check';
import { expect, test } from 'vitest';
import { betterByMoves } from './better-by-moves.js';
import { groupByEverySplit } from './every-split.js';
import { type Shared, totalCost } from './group.js';
import { groupBundles } from './group-tasks.js';
import { groupNeighbours } from './neighbour-groups.js';
import { priceDays } from './priced-days.js';

const never = Number.POSITIVE_INFINITY;
const days = 6;
const problems = fc.integer({ min: 1, max: 7 }).chain((count) =>
  fc.record({
    costs: fc.array(
      fc
        .array(fc.oneof({ weight: 5, arbitrary: fc.integer({ min: 0, max: 20 }) }, fc.constant(never)), {
          minLength: days,
          maxLength: days,
        })
        .map((row) => (row.every((cost) => cost === never) ? row.map(() => 3) : row)),
      { minLength: count, maxLength: count },
    ),
    setUp: fc.integer({ min: 0, max: 15 }),
    shared: fc.array(
      fc.record<Shared>({
        bundles: fc.subarray(
          Array.from({ length: count }, (_, at) => at),
          { minLength: 1 },
        ),
        saves: fc.integer({ min: 0, max: 9 }),
        kind: fc.constantFrom('all', 'each'),
      }),
      { maxLength: 5 },
    ),
  }),
);

test('the bound never passes the least cost of all splits, whatever is shared, with days that are not allowed', () => {
  let reached = 0;
  fc.assert(
    fc.property(problems, ({ costs, setUp, shared }) => {
      const least = totalCost(groupByEverySplit(costs, setUp, shared), setUp);
      const { atLeast, groupings } = priceDays(costs, setUp, shared, least);
      expect(atLeast).toBeLessThanOrEqual(least + 1e-9);
      if (atLeast > least - 1e-6) reached += 1;
      for (const groups of groupings) {
        expect(groups.flat().sort((a, b) => a - b)).toEqual(costs.map((_, bundle) => bundle));
      }
    }),
    { numRuns: 500, seed: 3 },
  );
  // What three or more save only all together is granted, so that many bounds stay below.
  expect(reached).toBeGreaterThan(200);
}, 60_000);

test('many sets of shared things: some are granted, and the bound still holds', () => {
  const bundles = 9;
  const costs = Array.from({ length: bundles }, (_, bundle) =>
    Array.from({ length: 12 }, (__, day) => Math.abs(day - ((bundle * 5) % 12))),
  );
  // Each two neighbours share something of their own: hundreds of unions.
  const shared = Array.from(
    { length: bundles - 1 },
    (_, at): Shared => ({
      bundles: [at, at + 1],
      saves: 1 + (at % 3),
      kind: 'each',
    }),
  );
  const least = totalCost(groupByEverySplit(costs, 3, shared), 3);
  const { atLeast } = priceDays(costs, 3, shared, least);
  expect(atLeast).toBeLessThanOrEqual(least + 1e-9);
  expect(atLeast).toBeGreaterThan(0);
});

/** Giving days away before the best one, a rising chance of being late after it. */
const invented = (count: number) =>
  Array.from({ length: count }, (_, task) => {
    const best = (task * 47 + 13) % 400;
    const interval = [90, 180, 365, 730][task % 4] ?? 365;
    return Array.from({ length: 400 }, (__, day) =>
      day <= best
        ? Math.min(1, (best - day) / interval)
        : (day - best) / interval + 8 * (1 - Math.exp((best - day) / 60)),
    );
  });

test('forty tasks that share access: prices find a cheaper grouping than moves alone, and prove it best', () => {
  const costs = invented(40);
  const shared = [3, 4, 5].map(
    (every): Shared => ({
      bundles: costs.map((_, task) => task).filter((task) => task % every === 0),
      saves: 0.05 * every,
      kind: 'each',
    }),
  );
  const order = costs
    .map((row, task) => ({ task, best: row.indexOf(Math.min(...row)) }))
    .sort((a, b) => a.best - b.best)
    .map(({ task }) => task);
  const alone = totalCost(betterByMoves(costs, groupNeighbours(costs, order, 0.2, shared), 0.2, shared), 0.2);
  const found = groupBundles(costs, 0.2, shared);
  expect(found.cost).toBeLessThan(0.95 * alone);
  expect(found.proven).toBe(true);
});

test('what only one bundle needs is no sharing, and takes nothing from the proof', () => {
  const costs = invented(20);
  const alone = Array.from({ length: 20 }, (_, task): Shared => ({ bundles: [task], saves: 3, kind: 'each' }));
  const three: Shared = { bundles: [0, 4, 8], saves: 0.1, kind: 'each' };
  const without = groupBundles(costs, 0.2, [three]);
  expect(without.proven).toBe(true);
  expect(groupBundles(costs, 0.2, [...alone, three])).toEqual(without);
});

test('no grouping of up to eight bundles is called proven that a split undercuts: one day, no set-up, costs of any size', () => {
  const amount = fc.oneof(fc.integer({ min: -9, max: 20 }), fc.double({ min: 0, max: 20, noNaN: true }));
  const any = fc
    .record({ count: fc.integer({ min: 1, max: 8 }), span: fc.integer({ min: 1, max: 5 }) })
    .chain(({ count, span }) =>
      fc.record({
        costs: fc.array(
          fc
            .array(fc.oneof({ weight: 3, arbitrary: amount }, fc.constant(never)), { minLength: span, maxLength: span })
            .map((row) => (row.every((cost) => cost === never) ? row.map(() => 3) : row)),
          { minLength: count, maxLength: count },
        ),
        setUp: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 1000, noNaN: true })),
        scale: fc.constantFrom(1, 1e-6, 1e9),
        // More than 30 now and then.
        shared: fc.array(
          fc.record<Shared>({
            bundles: fc.subarray(
              Array.from({ length: count }, (_, at) => at),
              { minLength: 1 },
            ),
            saves: fc.integer({ min: 0, max: 9 }),
            kind: fc.constantFrom('all', 'each'),
          }),
          { maxLength: 40 },
        ),
      }),
    );
  let proven = 0;
  fc.assert(
    fc.property(any, ({ costs: plain, setUp: one, scale, shared: saving }) => {
      const costs = plain.map((row) => row.map((cost) => cost * scale));
      const setUp = one * scale;
      const shared = saving.map((each) => ({ ...each, saves: each.saves * scale }));
      const least = totalCost(groupByEverySplit(costs, setUp, shared), setUp);
      const found = groupBundles(costs, setUp, shared, 0);
      expect(found.cost).toBeGreaterThanOrEqual(least - 1e-9 * (scale + Math.abs(least)));
      if (!found.proven) return;
      proven += 1;
      expect(found.cost).toBeLessThanOrEqual(least + 1e-6 * Math.abs(least) + 1e-9 * scale);
    }),
    { numRuns: 500, seed: 7 },
  );
  expect(proven).toBeGreaterThan(150);
}, 60_000);
