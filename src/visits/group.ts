/** Bundles done together on one of the candidate days. */
export interface Group {
  /** Indices of bundles, ascending. */
  readonly bundles: readonly number[];
  /** Index of the day. */
  readonly day: number;
  /** Summed cost of the bundles on that day less what they save by being together, without the set-up. */
  readonly cost: number;
}

/** What bundles save in one visit: once where all of them are in it, or for each of them after the first. */
export interface Shared {
  /** Indices of bundles, each once. */
  readonly bundles: readonly number[];
  readonly saves: number;
  readonly kind: 'all' | 'each';
}

/** Sum of all groups' costs and set-ups, in the unit of both.
 *  @param setUp  what each group costs besides, >= 0
 *  Source: definition. */
export function totalCost(groups: readonly Group[], setUp: number): number {
  return groups.reduce((total, group) => total + group.cost + setUp, 0);
}

/** The least of a row of numbers and where it stands first; Infinity at -1 where all are Infinity or none is there.
 *  Source: definition. */
export function leastOf(row: ArrayLike<number>): { readonly value: number; readonly index: number } {
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

/** What bundles save by being in one group, in the unit of `saves`; 0 where they share nothing.
 *  @param isIn  whether a bundle is in it
 *  Source: definition. */
export function savedBy(shared: readonly Shared[], isIn: (bundle: number) => boolean): number {
  let saved = 0;
  for (const { bundles, saves, kind } of shared) {
    let members = 0;
    for (const bundle of bundles) if (isIn(bundle)) members += 1;
    if (kind === 'each') saved += Math.max(0, members - 1) * saves;
    else if (members === bundles.length) saved += saves;
  }
  return saved;
}
