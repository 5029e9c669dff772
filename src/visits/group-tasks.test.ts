import fc from 'fast-check';
import { expect, test } from 'vitest';
import { groupBundles, totalCost } from './group-tasks.js';

/** All ways to split a list, for checking by hand. */
function* splits(items: readonly number[]): Generator<number[][]> {
  const [first, ...rest] = items;
  if (first === undefined) {
    yield [];
    return;
  }
  for (const split of splits(rest)) {
    yield [[first], ...split];
    for (let i = 0; i < split.length; i++) yield split.map((group, j) => (i === j ? [first, ...group] : group));
  }
}

const cost = fc.integer({ min: 0, max: 20 });
const table = fc
  .tuple(fc.integer({ min: 1, max: 5 }), fc.integer({ min: 1, max: 6 }))
  .chain(([bundles, days]) =>
    fc.array(fc.array(cost, { minLength: days, maxLength: days }), { minLength: bundles, maxLength: bundles }),
  );

test('few bundles: no split of them is cheaper', () => {
  fc.assert(
    fc.property(table, fc.integer({ min: 0, max: 15 }), (costs, setUp) => {
      const found = totalCost(groupBundles(costs, setUp), setUp);
      for (const split of splits(costs.map((_, i) => i))) {
        const total = split.reduce((sum, group) => {
          const days = (costs[0] ?? []).map((_, d) => group.reduce((s, b) => s + (costs[b]?.[d] ?? 0), 0));
          return sum + setUp + Math.min(...days);
        }, 0);
        expect(found).toBeLessThanOrEqual(total + 1e-9);
      }
    }),
  );
});

test('every bundle stands in exactly one group, for few and for many', () => {
  fc.assert(
    fc.property(table, fc.integer({ min: 0, max: 15 }), fc.constantFrom(0, 10), (costs, setUp, exactTo) => {
      const all = groupBundles(costs, setUp, exactTo).flatMap((group) => group.bundles);
      expect([...all].sort((a, b) => a - b)).toEqual(costs.map((_, i) => i));
    }),
  );
});

/** Instances and totals from a table of our own, found there by trying every partition. The form of the problem is that of
 *  Wildeman, Dekker and Smit (1997), EJOR 99:530-551. Days are whole here. */
const quadratic = (due: number, q: number) => Array.from({ length: 61 }, (_, d) => q * (d - 10 - due) ** 2);
const linear = (due: number, early: number, late: number) =>
  Array.from({ length: 121 }, (_, d) => (d - 10 - due >= 0 ? late * (d - 10 - due) : early * (due - (d - 10))));

test('equal penalties: neighbours in due order are enough', () => {
  const costs = [0, 4, 9, 20, 23, 40].map((due) => quadratic(due, 0.1));
  const exact = groupBundles(costs, 10);
  const neighbours = groupBundles(costs, 10, 0);
  expect(exact.map((group) => group.bundles)).toEqual([[0, 1, 2], [3, 4], [5]]);
  expect(totalCost(neighbours, 10)).toBeCloseTo(totalCost(exact, 10), 9);
});

test('early and late costs of another ratio: neighbours alone miss the best, trying every split does not', () => {
  const costs = [linear(0, 50, 50), linear(40, 0.1, 0.02), linear(55, 0.02, 0.1), linear(100, 50, 50)];
  expect(totalCost(groupBundles(costs, 30, 0), 30)).toBeCloseTo(65.1, 6);
  const exact = groupBundles(costs, 30);
  expect(totalCost(exact, 30)).toBeCloseTo(62.3, 6);
  expect(exact.map((group) => group.bundles)).toEqual([
    [0, 2],
    [1, 3],
  ]);
});

test('bundles with no allowed day in common stay apart', () => {
  const never = Number.POSITIVE_INFINITY;
  const groups = groupBundles(
    [
      [0, never],
      [never, 0],
    ],
    100,
  );
  expect(groups.map((group) => group.day)).toEqual([0, 1]);
  expect(
    groupBundles(
      [
        [0, never],
        [never, 0],
      ],
      100,
      0,
    ).map((group) => group.day),
  ).toEqual([0, 1]);
});
