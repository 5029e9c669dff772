/** Sum of products of `n` numbers from two places.
 *  @param a,b          arrays
 *  @param aFrom,bFrom  where each begins; both must hold `n` numbers from there */
export function dot(a: Float64Array, aFrom: number, b: Float64Array, bFrom: number, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i += 1) sum += (a[aFrom + i] ?? 0) * (b[bFrom + i] ?? 0);
  return sum;
}

/** Adds `scale` times `n` numbers of `from` to those of `into`, in place.
 *  @param into,from          arrays; `into` changes
 *  @param intoFrom,fromFrom  where each begins; both must hold `n` numbers from there */
export function addScaled(
  into: Float64Array,
  intoFrom: number,
  from: Float64Array,
  fromFrom: number,
  n: number,
  scale: number,
): void {
  for (let i = 0; i < n; i += 1) into[intoFrom + i] = (into[intoFrom + i] ?? 0) + scale * (from[fromFrom + i] ?? 0);
}

/** Running sums with a leading 0: n numbers give n + 1.
 *  @param values  any length; empty gives [0] */
export function runningSums(values: ArrayLike<number>): Float64Array {
  const sums = new Float64Array(values.length + 1);
  for (let i = 0; i < values.length; i += 1) sums[i + 1] = (sums[i] ?? 0) + (values[i] ?? 0);
  return sums;
}
