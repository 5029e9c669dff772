import { exactUpTo } from './constants.js';

/** Bundles done together on one of the candidate days. */
export interface Group {
  /** Indices of bundles, ascending. */
  readonly bundles: readonly number[];
  /** Index of the day. */
  readonly day: number;
  /** Summed cost of the bundles on that day, without the set-up. */
  readonly cost: number;
}

/** Splits bundles into groups, each on one day, for the least total of costs and set-ups. Every split is tried for few
 *  bundles; for many only neighbours in the given order are put together, which can miss the best where early and late
 *  costs differ in ratio.
 *  @param costs   costs[b][d] of bundle b on day d, >= 0; Infinity where the day is not allowed; in due order, each bundle
 *                 with at least one allowed day
 *  @param setUp   cost of each group, >= 0
 *  @param exactTo bundles up to which every split is tried
 *  @returns every bundle in exactly one group; the earlier of equally good days
 *  Source: Wildeman, Dekker and Smit (1997), EJOR 99:530-551, for the neighbours; from memory. */
export function groupBundles(costs: readonly (readonly number[])[], setUp: number, exactTo = exactUpTo): Group[] {
  if (costs.length === 0) return [];
  return costs.length <= exactTo ? groupExactly(costs, setUp) : groupNeighbours(costs, setUp);
}

/** Sum of all groups' costs and set-ups.
 *  Source: definition. */
export function totalCost(groups: readonly Group[], setUp: number): number {
  return groups.reduce((total, group) => total + group.cost + setUp, 0);
}

/** The least of a row of numbers and where it stands first; Infinity at -1 where all are Infinity or none is there.
 *  Source: definition. */
export function leastOf(row: readonly number[]): { readonly value: number; readonly index: number } {
  let value = Number.POSITIVE_INFINITY;
  let index = -1;
  for (let i = 0; i < row.length; i++) {
    const here = row[i] ?? Number.POSITIVE_INFINITY;
    if (here < value) {
      value = here;
      index = i;
    }
  }
  return { value, index };
}

/** best[i]: least cost of the first i bundles, the last group being start..i − 1. */
function groupNeighbours(costs: readonly (readonly number[])[], setUp: number): Group[] {
  const best: number[] = [0];
  const last: (Group | null)[] = [null];
  for (let end = 1; end <= costs.length; end++) {
    let least = Number.POSITIVE_INFINITY;
    let chosen: Group | null = null;
    let sums: number[] = [];
    for (let start = end - 1; start >= 0; start--) {
      sums = added(sums, costs[start] ?? []);
      const { value, index } = leastOf(sums);
      if (index < 0) break; // no day suits them all: a longer group cannot help
      const total = (best[start] ?? 0) + value + setUp;
      if (total < least) {
        least = total;
        chosen = { bundles: range(start, end), day: index, cost: value };
      }
    }
    best.push(least);
    last.push(chosen);
  }
  const groups: Group[] = [];
  for (let end = costs.length; end > 0; ) {
    const group = last[end];
    if (group === null || group === undefined) break;
    groups.unshift(group);
    end = group.bundles[0] ?? 0;
  }
  return groups;
}

/** best[set]: least cost of the bundles in the bit set, trying every group that holds its lowest member. */
function groupExactly(costs: readonly (readonly number[])[], setUp: number): Group[] {
  const size = 1 << costs.length;
  const sums: number[][] = [[]];
  const alone: { value: number; index: number }[] = [{ value: 0, index: -1 }];
  for (let set = 1; set < size; set++) {
    const lowest = 31 - Math.clz32(set & -set);
    const row = added(sums[set & (set - 1)] ?? [], costs[lowest] ?? []);
    sums.push(row);
    alone.push(leastOf(row));
  }
  const best: number[] = [0];
  const chosen: number[] = [0];
  for (let set = 1; set < size; set++) {
    const lowest = set & -set;
    let least = Number.POSITIVE_INFINITY;
    let part = set;
    for (let rest = set ^ lowest; ; rest = (rest - 1) & (set ^ lowest)) {
      const group = rest | lowest;
      const total = (alone[group]?.value ?? Number.POSITIVE_INFINITY) + setUp + (best[set ^ group] ?? 0);
      if (total < least) {
        least = total;
        part = group;
      }
      if (rest === 0) break;
    }
    best.push(least);
    chosen.push(part);
  }
  const groups: Group[] = [];
  for (let set = size - 1; set > 0; ) {
    const part = chosen[set] ?? set;
    const { value, index } = alone[part] ?? { value: 0, index: -1 };
    groups.push({ bundles: range(0, costs.length).filter((b) => (part >> b) & 1), day: index, cost: value });
    set ^= part;
  }
  return groups.sort((a, b) => a.day - b.day || (a.bundles[0] ?? 0) - (b.bundles[0] ?? 0));
}

/** Sums day by day; an empty row counts as zeros. */
function added(a: readonly number[], b: readonly number[]): number[] {
  return a.length === 0 ? [...b] : b.map((value, i) => value + (a[i] ?? 0));
}

function range(from: number, to: number): number[] {
  return Array.from({ length: to - from }, (_, i) => from + i);
}
