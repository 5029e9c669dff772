/** Where an item leads from a state, and what it takes to do it there besides its own minutes. */
export interface Way<S> {
  readonly to: S;
  /** >= 0. */
  readonly minutes: number;
}

/** Items to put in order, each done once, with changes of state between them. */
export interface OrderProblem<S, W extends Way<S> = Way<S>> {
  readonly count: number;
  /** For each item those that come before it, without a circle. */
  readonly waits: readonly (readonly number[])[];
  /** For each item those that close what it leaves open: nothing comes between but what they wait for. */
  readonly closedBy?: readonly (readonly number[])[];
  /** For each item one of equal needs and constraints that may as well come before it; null: none. */
  readonly twin?: readonly (number | null)[];
  readonly start: S;
  /** Equal for states from which everything costs the same. */
  keyOf(state: S): string;
  /** Every way that can be part of a best order, at least one. A way to the same state in no minutes is taken at once. */
  ways(state: S, item: number): readonly W[];
  /** Minutes from the last item's state to the end. */
  end(state: S): number;
  /** Minutes that what is left takes at least, the end included; with nothing left, at most `end`. */
  bound(state: S, isLeft: (item: number) => boolean): number;
  /** Among equally quick items the one of the smallest rank comes next, compared number by number. */
  rank(item: number, last: number | null, state: S, isFree: boolean): readonly number[];
}

/** An order with the way taken to each item. */
export interface FoundOrder<W> {
  readonly steps: readonly { readonly item: number; readonly way: W }[];
  /** Of ways and end, without the items' own minutes. */
  readonly minutes: number;
  /** True where surely no other order takes less. */
  readonly proven: boolean;
}

/** Items that wait for each other, so that none of them can be first; with those that wait for them. Empty where there are none.
 *  @param waits  for each item those that come before it
 *  Source: topological sorting, Kahn (1962). */
export function stuckItems(waits: readonly (readonly number[])[]): number[] {
  const done = new Set<number>();
  for (let before = -1; before !== done.size; ) {
    before = done.size;
    for (const [item, others] of waits.entries()) if (others.every((other) => done.has(other))) done.add(item);
  }
  return waits.flatMap((_, item) => (done.has(item) ? [] : [item]));
}
