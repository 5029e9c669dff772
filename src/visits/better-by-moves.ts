import { type Group, leastOf, type Shared, savedBy } from './group.js';

/** A group with the sums of its bundles' costs, day by day. */
interface Draft {
  readonly members: readonly number[];
  readonly sums: Float64Array;
  readonly total: number;
  /** For each member what the others sum up to. */
  readonly rests: readonly Float64Array[];
}

/** Smallest gain that counts, so that rounding cannot move bundles to and fro. */
const leastGain = 1e-9;

/** Betters a grouping while one of these helps: two groups become one, a bundle moves to another group or to one of its own, or two
 *  bundles change places.
 *  @param costs   as for `groupBundles`
 *  @param start   every bundle in exactly one group, each group with a day that suits all
 *  @param setUp   cost of each group
 *  @param shared  savings
 *  @returns       never dearer than the start; no single move betters it
 *  Source: local search, common practice. */
export function betterByMoves(
  costs: readonly (readonly number[])[],
  start: readonly (readonly number[])[],
  setUp: number,
  shared: readonly Shared[],
): Group[] {
  const rows = costs.map((row) => Float64Array.from(row));
  const nothing: Float64Array = new Float64Array(rows[0]?.length ?? 0);
  const rowOf = (bundle: number) => rows[bundle] ?? nothing;
  const saved = (members: readonly number[]) =>
    shared.length === 0 ? 0 : savedBy(shared, (bundle) => members.includes(bundle));
  /** What a group costs whose sums are those of two parts. */
  const costTogether = (a: Float64Array, b: Float64Array, members: readonly number[]) =>
    members.length === 0 ? 0 : leastTogether(a, b) + setUp - saved(members);
  // Days that are not allowed are Infinity, which cannot be subtracted: what is left is summed anew.
  const summed = (members: readonly number[]) => members.reduce((sums, bundle) => added(sums, rowOf(bundle)), nothing);
  const draftOf = (members: readonly number[]): Draft => {
    const sums = summed(members);
    return {
      members,
      sums,
      total: costTogether(sums, nothing, members),
      rests: members.map((out) => summed(members.filter((bundle) => bundle !== out))),
    };
  };
  const empty = draftOf([]);
  const without = (members: readonly number[], out: number) => members.filter((bundle) => bundle !== out);

  const findMerger = (drafts: readonly Draft[]): Change | null => {
    for (const [at, a] of drafts.entries()) {
      for (const b of drafts.slice(at + 1)) {
        const together = [...a.members, ...b.members];
        if (costTogether(a.sums, b.sums, together) < a.total + b.total - leastGain)
          return { go: [a, b], come: [together] };
      }
    }
    return null;
  };
  const findMove = (drafts: readonly Draft[]): Change | null => {
    for (const a of drafts) {
      for (const [place, bundle] of a.members.entries()) {
        const left = without(a.members, bundle);
        const leftCost = costTogether(a.rests[place] ?? nothing, nothing, left);
        for (const b of [...drafts, empty]) {
          if (b === a) continue;
          const joined = [...b.members, bundle];
          const cost = leftCost + costTogether(b.sums, rowOf(bundle), joined);
          if (cost < a.total + b.total - leastGain) return { go: [a, b], come: [left, joined] };
        }
      }
    }
    return null;
  };
  const findSwap = (drafts: readonly Draft[]): Change | null => {
    for (const [at, a] of drafts.entries()) {
      for (const [placeA, one] of a.members.entries()) {
        for (const b of drafts.slice(at + 1)) {
          for (const [placeB, other] of b.members.entries()) {
            const newA = [...without(a.members, one), other];
            const newB = [...without(b.members, other), one];
            const cost =
              costTogether(a.rests[placeA] ?? nothing, rowOf(other), newA) +
              costTogether(b.rests[placeB] ?? nothing, rowOf(one), newB);
            if (cost < a.total + b.total - leastGain) return { go: [a, b], come: [newA, newB] };
          }
        }
      }
    }
    return null;
  };
  const find = (drafts: readonly Draft[]) => findMerger(drafts) ?? findMove(drafts) ?? findSwap(drafts);

  let drafts = start.map(draftOf);
  for (let change = find(drafts); change !== null; change = find(drafts)) {
    const { go, come } = change;
    drafts = [
      ...drafts.filter((draft) => !go.includes(draft)),
      ...come.filter((members) => members.length > 0).map(draftOf),
    ];
  }
  return drafts.map(({ members, sums, total }) => ({
    bundles: [...members].sort((a, b) => a - b),
    day: leastOf(sums).index,
    cost: total - setUp,
  }));
}

/** Groups that go, and the members of those that come. */
interface Change {
  readonly go: readonly Draft[];
  readonly come: readonly (readonly number[])[];
}

function leastTogether(a: Float64Array, b: Float64Array): number {
  let least = Number.POSITIVE_INFINITY;
  for (let day = 0; day < a.length; day++) {
    const here = (a[day] ?? 0) + (b[day] ?? 0);
    if (here < least) least = here;
  }
  return least;
}

function added(a: Float64Array, b: Float64Array): Float64Array {
  const sums = new Float64Array(a.length);
  for (let day = 0; day < a.length; day++) sums[day] = (a[day] ?? 0) + (b[day] ?? 0);
  return sums;
}
