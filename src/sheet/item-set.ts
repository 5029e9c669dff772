/** A set of items: the first thirty as bits of a number, which is quick, all others as bits of a large one. */
export interface ItemSet {
  readonly low: number;
  readonly high: bigint;
}

const half = 30;

/** The set without any item.
 *  Source: definition. */
export const emptySet: ItemSet = { low: 0, high: 0n };

/** A set with one item more.
 *  @param item  >= 0
 *  Source: definition. */
export function withItem({ low, high }: ItemSet, item: number): ItemSet {
  return item < half ? { low: low | (1 << item), high } : { low, high: high | (1n << BigInt(item - half)) };
}

/** The set of these items, each >= 0.
 *  Source: definition. */
export function setOf(items: readonly number[]): ItemSet {
  return items.reduce(withItem, emptySet);
}

/** Whether an item is in the set.
 *  Source: definition. */
export function holds({ low, high }: ItemSet, item: number): boolean {
  return item < half ? ((low >> item) & 1) === 1 : high !== 0n && ((high >> BigInt(item - half)) & 1n) === 1n;
}

/** Whether every item of a part is in the whole.
 *  Source: definition. */
export function holdsAll(whole: ItemSet, part: ItemSet): boolean {
  return (part.low & ~whole.low) === 0 && (part.high === 0n || (part.high & ~whole.high) === 0n);
}

/** Items of both sets together.
 *  Source: definition. */
export function union(a: ItemSet, b: ItemSet): ItemSet {
  return { low: a.low | b.low, high: a.high | b.high };
}

/** Items of the first that are not in the second.
 *  Source: definition. */
export function minus(a: ItemSet, b: ItemSet): ItemSet {
  return { low: a.low & ~b.low, high: a.high & ~b.high };
}

/** Whether nothing is in the set.
 *  Source: definition. */
export function isEmpty({ low, high }: ItemSet): boolean {
  return low === 0 && high === 0n;
}

/** Stands for a set together with a number: equal only where both are.
 *  @param number  0 to 2^23
 *  Source: definition. */
export function keyOfSet({ low, high }: ItemSet, number: number): number | string {
  const first = number * 2 ** half + low;
  return high === 0n ? first : `${first} ${high.toString(36)}`;
}
