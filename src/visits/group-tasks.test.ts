import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Shared } from './group.js';
import { groupBundles } from './group-tasks.js';
import { groupNeighbours } from './neighbour-groups.js';

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

/** Cost of one split, each group on its best day. */
function costOf(
  split: readonly (readonly number[])[],
  costs: readonly number[][],
  setUp: number,
  shared: readonly Shared[],
) {
  return split.reduce((sum, group) => {
    const days = (costs[0] ?? []).map((_, d) => group.reduce((s, b) => s + (costs[b]?.[d] ?? 0), 0));
    const saved = shared.reduce((more, { bundles, saves, kind }) => {
      const members = bundles.filter((b) => group.includes(b)).length;
      if (kind === 'each') return more + Math.max(0, members - 1) * saves;
      return members === bundles.length ? more + saves : more;
    }, 0);
    return sum + setUp + Math.min(...days) - saved;
  }, 0);
}

const leastCost = (costs: readonly number[][], setUp: number, shared: readonly Shared[] = []) =>
  Math.min(...[...splits(costs.map((_, i) => i))].map((split) => costOf(split, costs, setUp, shared)));

const cost = fc.integer({ min: 0, max: 20 });
const tables = (most: number) =>
  fc
    .tuple(fc.integer({ min: 1, max: most }), fc.integer({ min: 1, max: 6 }))
    .chain(([bundles, days]) =>
      fc.array(fc.array(cost, { minLength: days, maxLength: days }), { minLength: bundles, maxLength: bundles }),
    );
const setUps = fc.integer({ min: 0, max: 15 });
const savings = (bundles: number): fc.Arbitrary<Shared[]> =>
  fc.array(
    fc.record({
      bundles: fc.subarray(
        Array.from({ length: bundles }, (_, at) => at),
        { minLength: Math.min(2, bundles) },
      ),
      saves: fc.integer({ min: 0, max: 9 }),
      kind: fc.constantFrom('all', 'each'),
    }),
    { maxLength: 4 },
  );

test('up to eight bundles, in 500 cases of any shape with things shared: no split of them is cheaper', () => {
  const cases = tables(8).chain((costs) => fc.tuple(fc.constant(costs), setUps, savings(costs.length)));
  fc.assert(
    fc.property(cases, ([costs, setUp, shared]) => {
      const found = groupBundles(costs, setUp, shared);
      expect(found.proven).toBe(true);
      expect(found.cost).toBeCloseTo(leastCost(costs, setUp, shared), 9);
      const told = found.groups.map(({ bundles }) => bundles);
      expect(costOf(told, costs, setUp, shared)).toBeCloseTo(found.cost, 9);
    }),
    { numRuns: 500, seed: 7 },
  );
}, 60_000);

test('what is called proven for many bundles is never undercut, and nothing is cheaper than the best', () => {
  const shaped = fc
    .tuple(fc.array(fc.nat(30), { minLength: 1, maxLength: 7 }), fc.boolean(), setUps)
    .map(([dues, isSquare, setUp]) => ({
      costs: dues.map((due) =>
        Array.from({ length: 31 }, (_, d) => (isSquare ? (d - due) ** 2 : d > due ? 2 * (d - due) : 0.5 * (due - d))),
      ),
      setUp,
    }));
  const sharing = <T extends { costs: number[][] }>(of: T) =>
    savings(of.costs.length).map((shared) => ({ ...of, shared }));
  const any = fc.tuple(tables(7), setUps).map(([costs, setUp]) => ({ costs, setUp }));
  const alone = <T>(of: T) => ({ ...of, shared: [] as Shared[] });
  let proven = 0;
  fc.assert(
    fc.property(fc.oneof(shaped.map(alone), any.map(alone), shaped.chain(sharing), any.chain(sharing)), (problem) => {
      const { costs, setUp, shared } = problem;
      const found = groupBundles(costs, setUp, shared, 0);
      const least = leastCost(costs, setUp, shared);
      expect(found.cost).toBeGreaterThanOrEqual(least - 1e-9);
      if (!found.proven) return;
      proven += 1;
      expect(found.cost).toBeLessThanOrEqual(least + 1e-7 * Math.abs(least));
    }),
    { numRuns: 500, seed: 8 },
  );
  expect(proven).toBeGreaterThan(300);
}, 60_000);

test('every bundle stands in exactly one group, for few and for many', () => {
  const cases = tables(6).chain((costs) => fc.tuple(fc.constant(costs), setUps, savings(costs.length)));
  fc.assert(
    fc.property(cases, fc.constantFrom(0, 10), ([costs, setUp, shared], exactTo) => {
      const all = groupBundles(costs, setUp, shared, exactTo).groups.flatMap((group) => group.bundles);
      expect([...all].sort((a, b) => a - b)).toEqual(costs.map((_, i) => i));
    }),
  );
});

test('what is shared puts together what would stay apart', () => {
  const costs = [
    [0, 3],
    [3, 0],
  ];
  const shared: Shared = { bundles: [0, 1], saves: 2.5, kind: 'each' };
  expect(groupBundles(costs, 1).groups).toHaveLength(2);
  for (const exactTo of [0, 12]) {
    expect(groupBundles(costs, 1, [shared], exactTo)).toMatchObject({
      groups: [{ bundles: [0, 1], day: 0 }],
      cost: 1.5,
      proven: true,
    });
  }
});

/** Instances and totals from a table of our own, found there by trying every partition. The form of the problem is that of
 *  Wildeman, Dekker and Smit (1997), EJOR 99:530-551. Days are whole here. */
const quadratic = (due: number, q: number) => Array.from({ length: 61 }, (_, d) => q * (d - 10 - due) ** 2);
const linear = (due: number, early: number, late: number) =>
  Array.from({ length: 121 }, (_, d) => (d - 10 - due >= 0 ? late * (d - 10 - due) : early * (due - (d - 10))));

test('equal penalties: neighbours in due order are enough, and that is proven', () => {
  const costs = [0, 4, 9, 20, 23, 40].map((due) => quadratic(due, 0.1));
  const exact = groupBundles(costs, 10);
  expect(exact.groups.map((group) => group.bundles)).toEqual([[0, 1, 2], [3, 4], [5]]);
  expect(groupBundles(costs, 10, [], 0)).toEqual(exact);
});

test('early and late costs of another ratio: neighbours alone miss the best, moves find it and prices prove it', () => {
  const costs = [linear(0, 50, 50), linear(40, 0.1, 0.02), linear(55, 0.02, 0.1), linear(100, 50, 50)];
  const alone = groupNeighbours(costs, [0, 1, 2, 3], 30, []);
  expect(costOf(alone, costs, 30, [])).toBeCloseTo(65.1, 6);
  for (const exactTo of [0, 12]) {
    const found = groupBundles(costs, 30, [], exactTo);
    expect(found.cost).toBeCloseTo(62.3, 6);
    expect(found.proven).toBe(true);
    expect(found.groups.map((group) => group.bundles)).toEqual([
      [0, 2],
      [1, 3],
    ]);
  }
});

test('bundles with no allowed day in common stay apart', () => {
  const never = Number.POSITIVE_INFINITY;
  const costs = [
    [0, never],
    [never, 0],
  ];
  for (const exactTo of [0, 12]) {
    expect(groupBundles(costs, 100, [], exactTo).groups.map((group) => group.day)).toEqual([0, 1]);
  }
});

test('no bundles need no visit', () => {
  expect(groupBundles([], 20)).toEqual({ groups: [], cost: 0, proven: true });
});
