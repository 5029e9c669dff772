/** One thing about a machine that changes apart from the others, such as which end is raised: its values by number. */
export interface Aspect<S> {
  /** minutes[a][b] from value a to value b. */
  readonly minutes: readonly (readonly number[])[];
  /** For each item the values that suit it, as bits; 0: any. */
  readonly suits: readonly number[];
  /** Minutes from each value to where it has to be at the end. */
  readonly end: readonly number[];
  valueOf(state: S): number;
}

/** Minutes that what is left takes at least: for each aspect by itself the least walk through values that suit every item left, in
 *  any order, to the end; these add up, since no change moves two aspects.
 *  @param aspects  few values each
 *  @param alone    minutes that each item takes from any state besides, such as a brief start
 *  Source: relaxation, common practice. */
export function boundOfAspects<S>(
  aspects: readonly Aspect<S>[],
  alone: readonly number[] = [],
): (state: S, isLeft: (item: number) => boolean) => number {
  const tables = aspects.map(tableOf);
  const count = Math.max(0, ...aspects.map(({ suits }) => suits.length));
  return (state, isLeft) => {
    let sum = 0;
    const wanted = tables.map(() => 0);
    for (let item = 0; item < count; item++) {
      if (!isLeft(item)) continue;
      sum += alone[item] ?? 0;
      for (let at = 0; at < tables.length; at++) wanted[at] = (wanted[at] ?? 0) | (tables[at]?.wants[item] ?? 0);
    }
    for (let at = 0; at < tables.length; at++) {
      const value = aspects[at]?.valueOf(state) ?? 0;
      sum += tables[at]?.least[wanted[at] ?? 0]?.[value] ?? 0;
    }
    return sum;
  };
}

/** Least minutes for each set of different wants and each value; for each item its want as a bit. */
function tableOf<S>({ minutes, suits, end }: Aspect<S>): {
  readonly wants: readonly number[];
  readonly least: readonly (readonly number[])[];
} {
  const different = [...new Set(suits)].filter((mask) => mask !== 0);
  const wants = suits.map((mask) => (mask === 0 ? 0 : 1 << different.indexOf(mask)));
  const shortest = shortestWalks(minutes);
  const values = minutes.map((_, value) => value);
  const left = (set: number, value: number) =>
    different.reduce((rest, mask, at) => ((mask >> value) & 1 ? rest & ~(1 << at) : rest), set);
  const least: number[][] = [];
  for (let set = 0; set < 1 << different.length; set++) {
    least.push(
      values.map((from) =>
        Math.min(
          ...values.map((to) => {
            const walk = shortest[from]?.[to] ?? Number.POSITIVE_INFINITY;
            const rest = left(set, to);
            if (set === 0) return walk + (end[to] ?? 0);
            return rest === set ? Number.POSITIVE_INFINITY : walk + (least[rest]?.[to] ?? 0);
          }),
        ),
      ),
    );
  }
  return { wants, least };
}

function shortestWalks(minutes: readonly (readonly number[])[]): number[][] {
  const walks = minutes.map((row) => [...row]);
  for (const [via] of walks.entries()) {
    for (const row of walks) {
      for (const [to] of row.entries()) {
        row[to] = Math.min(row[to] ?? 0, (row[via] ?? 0) + (walks[via]?.[to] ?? 0));
      }
    }
  }
  return walks;
}
