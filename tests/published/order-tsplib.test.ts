import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { leastOrder } from '../../src/sheet/least-order.js';
import type { OrderProblem } from '../../src/sheet/order-problem.js';

/** Sequential ordering and tour instances of TSPLIB (Reinelt 1991, ORSA Journal on Computing 3:376-384), with their published optima,
 *  through the search that puts a visit's jobs in order: the state is the last node, a change is an arc. */
const { instances } = z
  .object({
    instances: z.array(z.object({ name: z.string(), optimum: z.number(), matrix: z.array(z.array(z.number())) })),
  })
  .parse(JSON.parse(readFileSync(new URL('./data/sequencing.json', import.meta.url), 'utf8')));
const instance = (name: string) => instances.find((one) => one.name === name) ?? fail();

function fail(): never {
  throw new Error('no such instance');
}

/** Nodes between the first and the last are the items; a tour ends where it began. Each node left costs its cheapest arc in. */
function problemOf(matrix: readonly (readonly number[])[], isTour: boolean): OrderProblem<number> {
  const last = isTour ? 0 : matrix.length - 1;
  const nodes = matrix.map((_, node) => node).filter((node) => node !== 0 && node !== last);
  const arc = (from: number, to: number) => matrix[from]?.[to] ?? fail();
  const into = [...nodes, last].map((to) =>
    Math.min(...[0, ...nodes].filter((from) => from !== to && arc(from, to) >= 0).map((from) => arc(from, to))),
  );
  return {
    count: nodes.length,
    waits: nodes.map((node) => nodes.flatMap((other, at) => (arc(node, other) === -1 ? [at] : []))),
    start: 0,
    keyOf: String,
    ways: (from, item) => {
      const to = nodes[item] ?? fail();
      return [{ to, minutes: arc(from, to) }];
    },
    end: (from) => arc(from, last),
    bound: (_, isLeft) =>
      nodes.reduce((sum, __, item) => (isLeft(item) ? sum + (into[item] ?? 0) : sum), into.at(-1) ?? 0),
    rank: (item) => [item],
  };
}

describe('working order, against TSPLIB', () => {
  test.each(['ESC07.sop', 'ESC11.sop', 'ESC12.sop', 'br17.10.sop', 'br17.12.sop', 'br17.atsp'])(
    '%s comes to its published optimum, proven, by an order of that cost',
    (name) => {
      const { matrix, optimum } = instance(name);
      const isTour = name.endsWith('atsp');
      const problem = problemOf(matrix, isTour);
      const { steps, minutes, proven } = leastOrder(problem, 3_000_000);
      expect(proven).toBe(true);
      expect(minutes).toBe(optimum);
      const path = [0, ...steps.map(({ way }) => way.to), isTour ? 0 : matrix.length - 1];
      expect(new Set(path).size).toBe(matrix.length);
      expect(path.slice(1).reduce((sum, to, at) => sum + (matrix[path[at] ?? 0]?.[to] ?? 0), 0)).toBe(optimum);
      for (const [at, node] of path.entries()) {
        for (const later of path.slice(at + 1)) if (!isTour) expect(matrix[node]?.[later]).not.toBe(-1);
      }
    },
    120_000,
  );

  test('ftv33, thirty-four towns, is past what can be proven: it says so, and its tour costs no less than the optimum', () => {
    const { matrix, optimum } = instance('ftv33.atsp');
    const { minutes, proven, steps } = leastOrder(problemOf(matrix, true), 20_000);
    expect(steps).toHaveLength(33);
    expect(proven && minutes !== optimum).toBe(false);
    expect(minutes).toBeGreaterThanOrEqual(optimum);
    expect(minutes).toBeLessThan(2 * optimum);
  });
});
