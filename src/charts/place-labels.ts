/** A label that wants its top at `wanted` and takes `height`, gaps included. */
export interface LabelRoom {
  readonly wanted: number;
  readonly height: number;
}

interface Block {
  readonly from: number;
  weight: number;
  sum: number;
  count: number;
}

/** Tops of labels in one column so that none overlaps, moved as little as can be:
 *  minimise sum of (top_i - wanted_i)^2 subject to top_(i+1) >= top_i + height_i and top_0 >= `least`.
 *  With the heights before each label taken off it is an isotonic regression, solved exactly by pooling neighbours.
 *  @param labels in the order in which they are to stand; empty gives []
 *  @param least  the highest place that a top may take
 *  @returns      one top per label, in the same order
 *  Source: pool-adjacent-violators, Barlow, Bartholomew, Bremner and Brunk (1972), section 1.2 (from memory). */
export function placeLabels(labels: readonly LabelRoom[], least: number): readonly number[] {
  const before: number[] = [];
  let used = 0;
  for (const label of labels) {
    before.push(used);
    used += label.height;
  }
  const blocks: Block[] = [];
  labels.forEach((label, index) => {
    blocks.push({ from: index, weight: 1, sum: label.wanted - (before[index] ?? 0), count: 1 });
    for (;;) {
      const last = blocks.at(-1);
      const previous = blocks.at(-2);
      if (last === undefined || previous === undefined) return;
      if (previous.sum / previous.weight <= last.sum / last.weight) return;
      previous.sum += last.sum;
      previous.weight += last.weight;
      previous.count += last.count;
      blocks.pop();
    }
  });
  const tops: number[] = [];
  for (const block of blocks) {
    const level = Math.max(least, block.sum / block.weight);
    for (let index = block.from; index < block.from + block.count; index += 1) tops.push(level + (before[index] ?? 0));
  }
  return tops;
}
