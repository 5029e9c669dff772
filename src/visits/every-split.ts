import { type Group, leastOf, type Shared } from './group.js';

/** Groups of least total cost by trying every split: the best of a set is its best part with its lowest member, and the best
 *  of the rest. 3^n parts are looked at; the day of each part is found once.
 *  @param costs   as for `groupBundles`, at most 20 bundles
 *  @param setUp   cost of each group
 *  @param shared  savings
 *  @returns       of equally good splits the one with more in the first group
 *  Source: dynamic programming over subsets, as Held and Karp (1962). */
export function groupByEverySplit(
  costs: readonly (readonly number[])[],
  setUp: number,
  shared: readonly Shared[],
): Group[] {
  const size = 1 << costs.length;
  const { cost, day } = everyGroup(costs, shared);
  const best = new Float64Array(size);
  const chosen = new Int32Array(size);
  for (let set = 1; set < size; set++) {
    const lowest = set & -set;
    const others = set ^ lowest;
    let least = Number.POSITIVE_INFINITY;
    let part = set;
    for (let rest = others; ; rest = (rest - 1) & others) {
      const group = rest | lowest;
      const total = (cost[group] ?? 0) + setUp + (best[set ^ group] ?? 0);
      if (total < least) {
        least = total;
        part = group;
      }
      if (rest === 0) break;
    }
    best[set] = least;
    chosen[set] = part;
  }
  const groups: Group[] = [];
  for (let set = size - 1; set > 0; ) {
    const part = chosen[set] ?? set;
    const bundles = costs.flatMap((_, bundle) => ((part >> bundle) & 1 ? [bundle] : []));
    groups.push({ bundles, day: day[part] ?? -1, cost: cost[part] ?? 0 });
    set ^= part;
  }
  return groups;
}

/** Least cost and its day for each set of bundles, one row of sums a level deep. */
function everyGroup(costs: readonly (readonly number[])[], shared: readonly Shared[]) {
  const size = 1 << costs.length;
  const cost = new Float64Array(size);
  const day = new Int32Array(size);
  const sharedSets = shared.map((one) => ({ ...one, set: one.bundles.reduce((set, b) => set | (1 << b), 0) }));
  const saved = (set: number) => {
    let sum = 0;
    for (const one of sharedSets) {
      const members = countBits(one.set & set);
      if (one.kind === 'each') sum += Math.max(0, members - 1) * one.saves;
      else if (members === one.bundles.length) sum += one.saves;
    }
    return sum;
  };
  const days = costs[0]?.length ?? 0;
  const rows = Array.from({ length: costs.length + 1 }, () => new Float64Array(days));
  const fill = (bundle: number, set: number, depth: number) => {
    if (bundle === costs.length) {
      if (set === 0) return;
      const { value, index } = leastOf(rows[depth] ?? []);
      cost[set] = value - saved(set);
      day[set] = index;
      return;
    }
    fill(bundle + 1, set, depth);
    const [from, to] = [rows[depth], rows[depth + 1]];
    const own = costs[bundle];
    if (from === undefined || to === undefined || own === undefined) return;
    for (let d = 0; d < days; d++) to[d] = (from[d] ?? 0) + (own[d] ?? 0);
    fill(bundle + 1, set | (1 << bundle), depth + 1);
  };
  fill(0, 0, 0);
  return { cost, day };
}

function countBits(set: number): number {
  let count = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) count += 1;
  return count;
}
