import { emptySet, holds, holdsAll, type ItemSet, isEmpty, minus, setOf, union, withItem } from './item-set.js';
import type { OrderProblem, Way } from './order-problem.js';

/** A way to a state that is known by its number. */
export interface Move<W> {
  readonly to: number;
  readonly minutes: number;
  readonly way: W;
}

/** What can be done from where, with states by number and every way worked out once. */
export class OrderMoves<S, W extends Way<S>> {
  readonly problem: OrderProblem<S, W>;
  readonly all: ItemSet;
  private readonly states: S[] = [];
  private readonly numbers = new Map<string, number>();
  private readonly moves = new Map<number, readonly Move<W>[]>();
  private readonly ends: number[] = [];
  private readonly waits: readonly ItemSet[];
  private readonly closedBy: readonly ItemSet[];
  private readonly openers: readonly number[];

  constructor(problem: OrderProblem<S, W>) {
    this.problem = problem;
    const items = Array.from({ length: problem.count }, (_, item) => item);
    this.all = setOf(items);
    this.waits = items.map((item) => setOf(problem.waits[item] ?? []));
    this.closedBy = items.map((item) => setOf((problem.closedBy?.[item] ?? []).filter((other) => other !== item)));
    this.openers = items.filter((item) => !isEmpty(this.closedBy[item] ?? emptySet));
  }

  numberOf(state: S): number {
    const key = this.problem.keyOf(state);
    const known = this.numbers.get(key);
    if (known !== undefined) return known;
    this.numbers.set(key, this.states.length);
    this.states.push(state);
    return this.states.length - 1;
  }

  stateAt(number: number): S {
    return this.states[number] ?? this.problem.start;
  }

  end(state: number): number {
    this.ends[state] ??= this.problem.end(this.stateAt(state));
    return this.ends[state];
  }

  from(state: number, item: number): readonly Move<W>[] {
    const key = state * this.problem.count + item;
    const known = this.moves.get(key);
    if (known !== undefined) return known;
    const found = this.problem
      .ways(this.stateAt(state), item)
      .map((way) => ({ to: this.numberOf(way.to), minutes: way.minutes, way }));
    this.moves.set(key, found);
    return found;
  }

  /** The way that changes nothing and leaves nothing open: it is taken at once, since waiting cannot help. */
  freeMove(state: number, item: number): Move<W> | null {
    if (!isEmpty(this.closedBy[item] ?? emptySet)) return null;
    return this.from(state, item).find(({ to, minutes }) => to === state && minutes === 0) ?? null;
  }

  bound(done: ItemSet, state: number): number {
    return this.problem.bound(this.stateAt(state), (item) => !holds(done, item));
  }

  /** What can come next: while something waits to be closed, only what closes it, and what that waits for. */
  open(done: ItemSet): number[] {
    const open: number[] = [];
    for (let item = 0; item < this.problem.count; item++) {
      if (!holds(done, item) && holdsAll(done, this.waits[item] ?? emptySet)) open.push(item);
    }
    let wanted = emptySet;
    for (const item of this.openers) {
      if (holds(done, item)) wanted = union(wanted, minus(this.closedBy[item] ?? emptySet, done));
    }
    if (isEmpty(wanted)) return open;
    for (let isGrowing = true; isGrowing; ) {
      const before = wanted;
      for (let item = 0; item < this.problem.count; item++) {
        if (holds(wanted, item)) wanted = union(wanted, minus(this.waits[item] ?? emptySet, done));
      }
      isGrowing = before.low !== wanted.low || before.high !== wanted.high;
    }
    const closing = open.filter((item) => holds(wanted, item));
    return closing.length > 0 ? closing : open;
  }

  /** What can come next, of twins only the first. */
  openOnce(done: ItemSet): number[] {
    return this.open(done).filter((item) => {
      const twin = this.problem.twin?.[item] ?? null;
      return twin === null || holds(done, twin);
    });
  }

  /** Done, with all that is free from this state. */
  withFree(before: ItemSet, state: number): ItemSet {
    let done = before;
    for (let isGrowing = true; isGrowing; ) {
      isGrowing = false;
      for (const item of this.open(done)) {
        if (this.freeMove(state, item) === null) continue;
        done = withItem(done, item);
        isGrowing = true;
        break;
      }
    }
    return done;
  }
}
