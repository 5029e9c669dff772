import { emptySet, type ItemSet, isEmpty, keyOfSet, minus, withItem } from './item-set.js';
import { NodeHeap } from './node-heap.js';
import { type Move, OrderMoves } from './order-moves.js';
import type { FoundOrder, OrderProblem, Way } from './order-problem.js';

/** Rounding of sums of minutes. */
const slack = 1e-9;

/** The order of least minutes: a best-first search over what is done and how things stand, with a bound on what is left. Then
 *  the order is told step by step, the smallest rank first among all that lead to the same minutes.
 *  @param problem    waits without a circle
 *  @param positions  positions looked at before giving up; then the nearest item comes next each time, and `proven` is false
 *  @returns          nothing to do gives the way to the end alone, proven
 *  Source: dynamic programming over subsets, Held and Karp (1962); best first with a bound, Hart, Nilsson and Raphael (1968). */
export function leastOrder<S, W extends Way<S>>(problem: OrderProblem<S, W>, positions: number): FoundOrder<W> {
  const moves = new OrderMoves(problem);
  const least = new Search(moves, positions).least();
  const walk = new Walk(moves, positions);
  if (least === null) return walk.nearest();
  return walk.within(least.minutes) ?? least;
}

class Search<S, W extends Way<S>> {
  private readonly moves: OrderMoves<S, W>;
  private readonly positions: number;
  private readonly heap = new NodeHeap();
  private readonly best = new Map<number | string, number>();
  private readonly nodes: Node<W>[] = [];

  constructor(moves: OrderMoves<S, W>, positions: number) {
    this.moves = moves;
    this.positions = positions;
  }

  /** Null where it gave up. */
  least(): FoundOrder<W> | null {
    const { moves, heap, nodes } = this;
    this.reach(emptySet, moves.numberOf(moves.problem.start), 0, null);
    for (let at = heap.pop(); at !== undefined; at = heap.pop()) {
      const node = nodes[at];
      if (node === undefined || node.minutes > (this.best.get(keyOfSet(node.done, node.state)) ?? 0)) continue;
      if (isEmpty(minus(moves.all, node.done))) {
        return { steps: this.stepsTo(node), minutes: node.minutes + moves.end(node.state), proven: true };
      }
      if (nodes.length > this.positions) return null;
      for (const item of moves.openOnce(node.done)) {
        for (const move of moves.from(node.state, item)) {
          this.reach(withItem(node.done, item), move.to, node.minutes + move.minutes, { node, item, move });
        }
      }
    }
    return null;
  }

  private reach(before: ItemSet, state: number, minutes: number, from: Node<W>['from']): void {
    const done = this.moves.withFree(before, state);
    const key = keyOfSet(done, state);
    const known = this.best.get(key);
    if (known !== undefined && known <= minutes) return;
    this.best.set(key, minutes);
    const isDone = isEmpty(minus(this.moves.all, done));
    const left = isDone ? this.moves.end(state) : this.moves.bound(done, state);
    this.nodes.push({ done, state, minutes, from });
    this.heap.push(minutes + left, this.nodes.length - 1);
  }

  private stepsTo(last: Node<W>): { item: number; way: W }[] {
    const steps: { item: number; way: W }[] = [];
    const path: Node<W>[] = [];
    for (let node: Node<W> | undefined = last; node !== undefined; node = node.from?.node) path.unshift(node);
    let done = emptySet;
    for (const { from, state, done: target } of path) {
      if (from !== null) {
        steps.push({ item: from.item, way: from.move.way });
        done = withItem(done, from.item);
      }
      while (!isEmpty(minus(target, done))) {
        const item = this.moves.open(done).find((open) => this.moves.freeMove(state, open) !== null);
        const free = item === undefined ? null : this.moves.freeMove(state, item);
        if (item === undefined || free === null) break;
        steps.push({ item, way: free.way });
        done = withItem(done, item);
      }
    }
    return steps;
  }
}

interface Node<W> {
  readonly done: ItemSet;
  readonly state: number;
  readonly minutes: number;
  readonly from: { readonly node: Node<W>; readonly item: number; readonly move: Move<W> } | null;
}

interface Candidate<W> {
  readonly item: number;
  readonly move: Move<W>;
}

/** Tells an order step by step. */
class Walk<S, W extends Way<S>> {
  private readonly moves: OrderMoves<S, W>;
  private readonly failed = new Map<number | string, number>();
  private looks: number;

  constructor(moves: OrderMoves<S, W>, looks: number) {
    this.moves = moves;
    this.looks = looks;
  }

  /** The order of the smallest ranks that takes no more than these minutes; null where looking for it took too long. */
  within(budget: number): FoundOrder<W> | null {
    const steps = this.walk((candidates, done, spent) =>
      candidates.find(({ item, move }) => this.canEnd(withItem(done, item), move.to, budget - spent - move.minutes)),
    );
    return steps === null ? null : { steps, minutes: budget, proven: true };
  }

  /** The order in which that comes next which looks nearest to the end. */
  nearest(): FoundOrder<W> {
    const steps =
      this.walk((candidates, done) => {
        const ahead = candidates.map(
          ({ item, move }) => move.minutes + this.moves.bound(withItem(done, item), move.to),
        );
        const least = Math.min(...ahead);
        return candidates.find((_, at) => (ahead[at] ?? 0) <= least + slack);
      }) ?? [];
    const last = steps.at(-1)?.way.to ?? this.moves.problem.start;
    const changes = steps.reduce((sum, { way }) => sum + way.minutes, 0);
    return { steps, minutes: changes + this.moves.problem.end(last), proven: false };
  }

  private walk(
    choose: (candidates: readonly Candidate<W>[], done: ItemSet, spent: number) => Candidate<W> | undefined,
  ): { item: number; way: W }[] | null {
    const { moves } = this;
    const steps: { item: number; way: W }[] = [];
    let done = emptySet;
    let state = moves.numberOf(moves.problem.start);
    let spent = 0;
    while (steps.length < moves.problem.count) {
      const candidates = this.ranked(done, state, steps.at(-1)?.item ?? null);
      const chosen = choose(candidates, done, spent);
      if (chosen === undefined) return null;
      steps.push({ item: chosen.item, way: chosen.move.way });
      done = withItem(done, chosen.item);
      state = chosen.move.to;
      spent += chosen.move.minutes;
    }
    return steps;
  }

  /** What can come next, the smallest rank first; while something is free, only that. */
  private ranked(done: ItemSet, state: number, last: number | null): Candidate<W>[] {
    const { moves } = this;
    const open = moves.open(done);
    const free = open.flatMap((item) => {
      const move = moves.freeMove(state, item);
      return move === null ? [] : [{ item, move }];
    });
    const candidates =
      free.length > 0 ? free : open.flatMap((item) => moves.from(state, item).map((move) => ({ item, move })));
    const here = moves.stateAt(state);
    return candidates
      .map((one) => ({ one, rank: moves.problem.rank(one.item, last, here, free.length > 0) }))
      .sort((a, b) => compareRanks(a.rank, b.rank))
      .map(({ one }) => one);
  }

  /** Whether the rest can be done in these minutes; false too where the looks ran out. */
  private canEnd(before: ItemSet, state: number, minutes: number): boolean {
    const { moves } = this;
    const done = moves.withFree(before, state);
    if (isEmpty(minus(moves.all, done))) return moves.end(state) <= minutes + slack;
    if (moves.bound(done, state) > minutes + slack) return false;
    const key = keyOfSet(done, state);
    if ((this.failed.get(key) ?? Number.NEGATIVE_INFINITY) >= minutes - slack) return false;
    if (this.looks <= 0) return false;
    this.looks -= 1;
    for (const item of moves.openOnce(done)) {
      for (const move of moves.from(state, item)) {
        if (this.canEnd(withItem(done, item), move.to, minutes - move.minutes)) return true;
      }
    }
    this.failed.set(key, minutes);
    return false;
  }
}

function compareRanks(a: readonly number[], b: readonly number[]): number {
  for (const [at, rank] of a.entries()) {
    const difference = rank - (b[at] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}
