import { leastOf, type Shared, savedBy } from './group.js';

/** Groups of bundles that stand next to each other in an order, for the least total cost among such groups.
 *  @param costs   as for `groupBundles`
 *  @param order   every bundle once
 *  @param setUp   cost of each group
 *  @param shared  savings
 *  @returns       bundles of each group, in the order given
 *  Source: Wildeman, Dekker and Smit (1997), EJOR 99:530-551, from memory. */
export function groupNeighbours(
  costs: readonly (readonly number[])[],
  order: readonly number[],
  setUp: number,
  shared: readonly Shared[],
): number[][] {
  const best: number[] = [0];
  const starts: number[] = [0];
  for (let end = 1; end <= order.length; end++) {
    let least = Number.POSITIVE_INFINITY;
    let chosen = end - 1;
    const sums = new Float64Array(costs[0]?.length ?? 0);
    const members = new Set<number>();
    for (let start = end - 1; start >= 0; start--) {
      const bundle = order[start] ?? 0;
      const row = costs[bundle] ?? [];
      members.add(bundle);
      for (let d = 0; d < sums.length; d++) sums[d] = (sums[d] ?? 0) + (row[d] ?? 0);
      const { value, index } = leastOf(sums);
      if (index < 0) break; // no day suits them all: a longer group cannot help
      const total = (best[start] ?? 0) + value - savedBy(shared, (b) => members.has(b)) + setUp;
      if (total < least) {
        least = total;
        chosen = start;
      }
    }
    best.push(least);
    starts.push(chosen);
  }
  const groups: number[][] = [];
  for (let end = order.length; end > 0; end = starts[end] ?? 0) groups.unshift(order.slice(starts[end] ?? 0, end));
  return groups;
}

/** Whether some best grouping surely has only neighbours in this order: of any two days, no bundle strictly wants the later
 *  while one behind it does not (or, said from the other end, none strictly wants the earlier while one before it does not).
 *  Then each bundle's best among the days of a best grouping never comes before that of a bundle in front of it. Penalties of one
 *  shape, as in the paper, keep to this.
 *  @param costs  as for `groupBundles`
 *  @param order  every bundle once
 *  Source: single crossing, Milgrom and Shannon (1994), Econometrica 62:157-180, from memory; Wildeman, Dekker and Smit (1997). */
export function areNeighboursEnough(costs: readonly (readonly number[])[], order: readonly number[]): boolean {
  const rows = order.map((bundle) => costs[bundle] ?? []);
  return crossesOnce(rows, 1) || crossesOnce([...rows].reverse(), -1);
}

function crossesOnce(rows: readonly (readonly number[])[], direction: 1 | -1): boolean {
  const days = rows[0]?.length ?? 0;
  for (let early = 0; early < days; early++) {
    for (let late = early + 1; late < days; late++) {
      let wants = false;
      for (const row of rows) {
        const [atEarly, atLate] = [row[early] ?? 0, row[late] ?? 0];
        const does = direction === 1 ? atLate < atEarly : atEarly < atLate;
        if (wants && !does) return false;
        wants = does;
      }
    }
  }
  return true;
}
