import { betterByMoves } from './better-by-moves.js';
import { exactUpTo } from './constants.js';
import { groupByEverySplit } from './every-split.js';
import { type Group, leastOf, type Shared, totalCost } from './group.js';
import { areNeighboursEnough, groupNeighbours } from './neighbour-groups.js';
import { priceDays, provenWithin } from './priced-days.js';

/** Groups, and whether surely no others cost less. */
export interface Grouping {
  /** By day, then by first bundle. */
  readonly groups: readonly Group[];
  /** Of all groups with their set-ups. */
  readonly cost: number;
  readonly proven: boolean;
}

/** Splits bundles into groups, each on one day, for the least total of costs and set-ups less what is shared. Every split is
 *  tried for few bundles; for many, neighbours in the order of their best days are put together and the result bettered by
 *  moving bundles, from what prices of days suggest as well. That is proven best where neighbours are enough and nothing is shared, or
 *  where it reaches the bound that the prices give, to a ten-millionth.
 *  @param costs   costs[b][d] of bundle b on day d; Infinity where the day is not allowed; each bundle with at least one
 *                 allowed day, all with equally many days
 *  @param setUp   cost of each group, >= 0
 *  @param shared  savings, >= 0
 *  @param exactTo bundles up to which every split is tried, at most 20
 *  @returns every bundle in exactly one group; the earlier of equally good days; no bundles give no groups at cost 0, proven
 *  Source: Wildeman, Dekker and Smit (1997), EJOR 99:530-551, for the neighbours; from memory. */
export function groupBundles(
  costs: readonly (readonly number[])[],
  setUp: number,
  shared: readonly Shared[] = [],
  exactTo = exactUpTo,
): Grouping {
  if (costs.length === 0) return { groups: [], cost: 0, proven: true };
  if (costs.length <= exactTo) return finished(groupByEverySplit(costs, setUp, shared), setUp, true);
  const order = inOrderOfBestDays(costs);
  const starts = [groupNeighbours(costs, order, setUp, shared), order.map((bundle) => [bundle])];
  const found = starts.map((start) => betterByMoves(costs, start, setUp, shared));
  const best = cheapest(found, setUp);
  if (shared.every(({ saves }) => saves === 0) && areNeighboursEnough(costs, order)) return finished(best, setUp, true);
  const { atLeast, groupings } = priceDays(costs, setUp, shared, totalCost(best, setUp));
  const bettered = cheapest([best, ...groupings.map((start) => betterByMoves(costs, start, setUp, shared))], setUp);
  const cost = totalCost(bettered, setUp);
  return finished(bettered, setUp, cost - atLeast <= provenWithin * Math.abs(cost));
}

/** The first of those that cost least. */
function cheapest(groupings: readonly Group[][], setUp: number): Group[] {
  return groupings.reduce((a, b) => (totalCost(b, setUp) < totalCost(a, setUp) ? b : a));
}

function finished(groups: readonly Group[], setUp: number, proven: boolean): Grouping {
  const byDay = [...groups].sort((a, b) => a.day - b.day || (a.bundles[0] ?? 0) - (b.bundles[0] ?? 0));
  return { groups: byDay, cost: totalCost(byDay, setUp), proven };
}

function inOrderOfBestDays(costs: readonly (readonly number[])[]): number[] {
  const best = costs.map((row) => leastOf(row).index);
  return costs.map((_, bundle) => bundle).sort((a, b) => (best[a] ?? 0) - (best[b] ?? 0) || a - b);
}
