import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { groupBundles } from '../../src/visits/group-tasks.js';
import { groupNeighbours } from '../../src/visits/neighbour-groups.js';

/** Instances of our own in the form of Wildeman, Dekker and Smit (1997), European Journal of Operational Research 99:530-551, with the
 *  optimum over every partition, its dates real numbers. Here days are a grid of hundredths around those dates and of halves elsewhere,
 *  so that no day misses the exact date by more than rounding. */
const { instances } = z
  .object({
    instances: z.array(
      z.object({
        name: z.string(),
        setUp: z.number(),
        optimum: z.number(),
        consecutive: z.number(),
        groups: z.array(z.array(z.string())),
        dates: z.array(z.number()),
        activities: z.array(
          z.object({
            id: z.string(),
            due: z.number(),
            kind: z.enum(['quadratic', 'asymmetric_linear']),
            q: z.number().optional(),
            early: z.number().optional(),
            late: z.number().optional(),
            earliest: z.number().optional(),
            latest: z.number().optional(),
          }),
        ),
      }),
    ),
  })
  .parse(JSON.parse(readFileSync(new URL('./data/grouping.json', import.meta.url), 'utf8')));
type Instance = (typeof instances)[number];
type Activity = Instance['activities'][number];

function costAt(activity: Activity, day: number): number {
  if (day < (activity.earliest ?? day) || day > (activity.latest ?? day)) return Number.POSITIVE_INFINITY;
  const late = day - activity.due;
  if (activity.kind === 'quadratic') return (activity.q ?? 0) * late ** 2;
  return late >= 0 ? (activity.late ?? 0) * late : (activity.early ?? 0) * -late;
}

function daysOf({ activities, dates }: Instance): number[] {
  const dues = activities.map(({ due }) => due);
  const [from, to] = [Math.min(...dues) - 5, Math.max(...dues) + 5];
  const halves = Array.from({ length: 2 * (to - from) + 1 }, (_, at) => from + at / 2);
  return [...new Set([...halves, ...dues, ...dates])].sort((a, b) => a - b);
}

const costsOf = (instance: Instance) => {
  const days = daysOf(instance);
  return instance.activities.map((activity) => days.map((day) => costAt(activity, day)));
};

/** Every way to split a list. */
function* partitions<T>(items: readonly T[]): Generator<T[][]> {
  const [first, ...rest] = items;
  if (first === undefined) {
    yield [];
    return;
  }
  for (const split of partitions(rest)) {
    yield [[first], ...split];
    for (const [at] of split.entries()) yield split.map((group, j) => (j === at ? [first, ...group] : group));
  }
}

const totalOf = (groups: readonly (readonly number[])[], costs: readonly number[][], setUp: number) =>
  groups.reduce((sum, group) => {
    const days = (costs[0] ?? []).map((_, day) => group.reduce((all, bundle) => all + (costs[bundle]?.[day] ?? 0), 0));
    return sum + setUp + Math.min(...days);
  }, 0);

describe.each(instances)('grouping, $name', (instance) => {
  const costs = costsOf(instance);
  const names = (groups: readonly { readonly bundles: readonly number[] }[]) =>
    groups.map(({ bundles }) => bundles.map((bundle) => instance.activities[bundle]?.id));

  test('comes to the optimum over every partition, with its groups', () => {
    const every = [...partitions(instance.activities.map((_, at) => at))].map((groups) =>
      totalOf(groups, costs, instance.setUp),
    );
    expect(Math.min(...every)).toBeCloseTo(instance.optimum, 6);
    const found = groupBundles(costs, instance.setUp);
    expect(found.proven).toBe(true);
    expect(found.cost).toBeCloseTo(instance.optimum, 6);
    expect(names(found.groups)).toEqual(instance.groups);
  });

  test('neighbours alone come to what the paper’s programme comes to, moves to the optimum, and prices prove it', () => {
    const order = instance.activities.map((_, at) => at);
    const neighbours = groupNeighbours(costs, order, instance.setUp, []);
    expect(totalOf(neighbours, costs, instance.setUp)).toBeCloseTo(instance.consecutive, 6);
    const moved = groupBundles(costs, instance.setUp, [], 0);
    expect(moved.cost).toBeCloseTo(instance.optimum, 6);
    expect(moved.proven).toBe(true);
  });
});

test('where the early and late costs differ in ratio, the programme of neighbours misses the best', () => {
  const missed = instances.filter(({ consecutive, optimum }) => consecutive > optimum + 1e-6);
  expect(missed.map(({ name }) => name.slice(0, 2))).toEqual(['G4']);
});
