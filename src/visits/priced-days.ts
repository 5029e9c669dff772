import { leastOf, type Shared, savedBy } from './group.js';

/** What prices tell of a grouping problem. */
export interface PricedDays {
  /** No grouping costs less. */
  readonly atLeast: number;
  /** Groupings to better by moves, bundles of each group: the cheapest one met on the way, and that of the best bound. */
  readonly groupings: readonly (readonly (readonly number[])[])[];
}

/** Rounds of prices, and how many without a gain end one length of step: with these, 28 of 30 invented problems of 40 tasks, half of them
 *  with shared access, were proven (`tests/bench/grouping-speed.mjs`). */
const mostRounds = 400;
const patience = 12;

/** More sets of shared things than this are not held apart; what saves least is then granted for nothing, which only lowers the bound. */
const mostSets = 64;

/** How close the bound has to come to the best cost, as a part of it, until nothing is left to look for. */
export const provenWithin = 1e-7;

/** A lower bound of what any grouping costs, and a good grouping. Each bundle offers a price for being done; a day is opened where the
 *  offers of those that gain by it pay for the visit and for what they share, and offers of bundles that no day took rise, of those that
 *  several took fall. The offers less what opened days earn are never more than the least cost.
 *  @param costs   as for `groupBundles`
 *  @param setUp   cost of each group, >= 0
 *  @param shared  savings, >= 0
 *  @param known   cost of a grouping at hand; the search ends where the bound reaches it
 *  Source: Lagrangian relaxation of Cornuejols, Fisher and Nemhauser (1977), Management Science 23:789-810, with the steps of Held, Wolfe
 *  and Crowder (1974), Mathematical Programming 6:62-88; both from memory. */
export function priceDays(
  costs: readonly (readonly number[])[],
  setUp: number,
  shared: readonly Shared[],
  known: number,
): PricedDays {
  const problem = withSetsPaid(costs, setUp, shared);
  const assign = assigner(costs, setUp, shared);
  let upper = known;
  let cheapest: Assigned | null = null;
  let atBest: Assigned | null = null;
  let offers = costs.map((_, bundle) => leastOffer(problem, bundle) + setUp / costs.length);
  let best = { atLeast: Number.NEGATIVE_INFINITY, offers };
  let length = 1;
  let since = 0;
  for (let round = 0; round < mostRounds; round++) {
    const { value, open } = openDays(problem, offers);
    const assigned = open.length === 0 ? null : assign(open);
    if (assigned !== null && (cheapest === null || assigned.cost < cheapest.cost)) cheapest = assigned;
    upper = Math.min(upper, cheapest?.cost ?? upper);
    if (value > best.atLeast) {
      atBest = assigned;
      if (value > best.atLeast + 1e-3 * (upper - best.atLeast)) since = 0;
      else since += 1;
      best = { atLeast: value, offers };
    } else since += 1;
    if (upper - best.atLeast <= provenWithin * Math.abs(upper)) break;
    if (since >= patience) {
      length /= 2;
      since = 0;
      offers = best.offers;
    }
    const turns = offers.map(() => 1);
    for (const { takes } of open) for (const bundle of takes) turns[bundle] = (turns[bundle] ?? 0) - 1;
    const square = turns.reduce((sum, turn) => sum + turn * turn, 0);
    if (square === 0) break; // each bundle is taken by one day: that grouping costs what the offers say
    const step = (length * (upper - value)) / square;
    offers = offers.map((offer, bundle) => offer + step * (turns[bundle] ?? 0));
  }
  const groupings = [...new Set([cheapest, atBest])].flatMap((one) => (one === null ? [] : [one.groups]));
  return { atLeast: best.atLeast - problem.granted, groupings };
}

/** The problem with what is shared paid for once a group, instead of saved for each bundle after the first. */
interface Paid {
  readonly days: number;
  /** Costs with everything shared granted, bundle by bundle of the first day, then of the second. */
  readonly byDay: Float64Array;
  /** Per bundle the bits of the shared things that it needs paid. */
  readonly needs: readonly number[];
  /** The different needs, and which of them each bundle has. */
  readonly kinds: readonly number[];
  readonly kindOf: readonly number[];
  /** Sets of shared things worth opening together, bits, and what each costs with the visit. */
  readonly sets: readonly { readonly bits: number; readonly price: number }[];
  /** Of any set: the visit alone. */
  readonly leastPrice: number;
  /** Savings that are granted once whatever happens. */
  readonly granted: number;
}

function withSetsPaid(costs: readonly (readonly number[])[], setUp: number, shared: readonly Shared[]): Paid {
  // Two that save by being together save the same whichever is called the second.
  const isEach = ({ kind, bundles }: Shared) => kind === 'each' || bundles.length === 2;
  const granted = shared.filter((each) => !isEach(each)).reduce((sum, { saves }) => sum + saves, 0);
  // What one alone needs saves nothing; it would only take the place of what does.
  const each = shared
    .filter((one) => isEach(one) && one.saves > 0 && one.bundles.length > 1)
    .sort((a, b) => b.saves - a.saves);
  let count = Math.min(each.length, 30);
  const needsOf = (bundle: number) =>
    each.slice(0, count).reduce((bits, one, at) => (one.bundles.includes(bundle) ? bits | (1 << at) : bits), 0);
  let needs = costs.map((_, bundle) => needsOf(bundle));
  let unions = unionsOf(needs);
  while (unions === null) {
    count -= 1;
    needs = costs.map((_, bundle) => needsOf(bundle));
    unions = unionsOf(needs);
  }
  const priceOf = (bits: number) =>
    each.slice(0, count).reduce((sum, { saves }, at) => (bits & (1 << at) ? sum + saves : sum), setUp);
  const days = costs[0]?.length ?? 0;
  const byDay = new Float64Array(days * costs.length);
  for (const [bundle, row] of costs.entries()) {
    const saved = each.reduce((sum, one) => (one.bundles.includes(bundle) ? sum + one.saves : sum), 0);
    for (let day = 0; day < days; day++) byDay[day * costs.length + bundle] = (row[day] ?? 0) - saved;
  }
  const kinds = [...new Set(needs)];
  return {
    days,
    byDay,
    needs,
    kinds,
    kindOf: needs.map((need) => kinds.indexOf(need)),
    sets: unions.map((bits) => ({ bits, price: priceOf(bits) })),
    leastPrice: setUp,
    granted,
  };
}

function leastOffer({ byDay, days, kindOf }: Paid, bundle: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let day = 0; day < days; day++) least = Math.min(least, byDay[day * kindOf.length + bundle] ?? least);
  return least;
}

/** Every union of the needs, none needed included; null where there are more than can be held apart. */
function unionsOf(needs: readonly number[]): number[] | null {
  const unions = new Set([0]);
  for (const need of new Set(needs)) {
    for (const union of [...unions]) unions.add(union | need);
    if (unions.size > mostSets) return null;
  }
  return [...unions];
}

/** A day that earns more than it costs, and the bundles that it takes. */
interface OpenDay {
  readonly day: number;
  readonly takes: readonly number[];
}

/** Which days earn more than they cost at these offers, and what the offers are worth. */
function openDays(problem: Paid, offers: readonly number[]): { value: number; open: OpenDay[] } {
  const { byDay, days, kinds, kindOf, needs, sets } = problem;
  const bundles = offers.length;
  const gains = new Float64Array(kinds.length);
  const open: OpenDay[] = [];
  let value = offers.reduce((sum, offer) => sum + offer, 0);
  // The loops that all the time goes into: plain counting, no iterators.
  for (let day = 0; day < days; day++) {
    gains.fill(0);
    let sum = 0;
    for (let bundle = 0; bundle < bundles; bundle++) {
      const gain = (byDay[day * bundles + bundle] ?? 0) - (offers[bundle] ?? 0);
      if (gain >= 0) continue;
      sum += gain;
      const kind = kindOf[bundle] ?? 0;
      gains[kind] = (gains[kind] ?? 0) + gain;
    }
    if (sum + problem.leastPrice >= 0) continue;
    let least = 0;
    let paid = -1;
    for (const { bits, price } of sets) {
      let total = price;
      for (let at = 0; at < kinds.length; at++) {
        const need = kinds[at] ?? 0;
        if ((need & bits) === need) total += gains[at] ?? 0;
      }
      if (total < least) {
        least = total;
        paid = bits;
      }
    }
    if (paid < 0) continue;
    value += least;
    const takes: number[] = [];
    for (let bundle = 0; bundle < bundles; bundle++) {
      const need = needs[bundle] ?? 0;
      if ((need & paid) === need && (byDay[day * bundles + bundle] ?? 0) < (offers[bundle] ?? 0)) takes.push(bundle);
    }
    open.push({ day, takes });
  }
  return { value, open };
}

interface Assigned {
  readonly cost: number;
  readonly groups: readonly (readonly number[])[];
}

/** Each bundle on the cheapest day that takes it, else on the cheapest that is open; one that none of them suits has its own best day. */
function assigner(costs: readonly (readonly number[])[], setUp: number, shared: readonly Shared[]) {
  const ownBest = costs.map((row) => leastOf(row).index);
  return (open: readonly OpenDay[]): Assigned => {
    const takers = costs.map((): number[] => []);
    for (const { day, takes } of open) for (const bundle of takes) takers[bundle]?.push(day);
    const byDay = new Map<number, number[]>();
    let cost = 0;
    for (const [bundle, row] of costs.entries()) {
      const taken = takers[bundle] ?? [];
      const days = taken.length > 0 ? taken : open.map(({ day }) => day);
      const { value, index } = leastOf(days.map((day) => row[day] ?? Number.POSITIVE_INFINITY));
      const day = value < Number.POSITIVE_INFINITY ? (days[index] ?? 0) : (ownBest[bundle] ?? 0);
      cost += row[day] ?? 0;
      byDay.set(day, [...(byDay.get(day) ?? []), bundle]);
    }
    const groups = [...byDay.values()];
    for (const members of groups) cost += setUp - savedBy(shared, (bundle) => members.includes(bundle));
    return { cost, groups };
  };
}
