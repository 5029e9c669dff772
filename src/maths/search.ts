/** Where a rising function first reaches `level`, to within `tolerance`: bisection with false position (Illinois) inside a shrinking bracket.
 *  @param rising     nondecreasing on [low, high]; jumps are allowed
 *  @param low,high   rising(low) < level <= rising(high) is expected; outside that the nearer end is returned
 *  @param tolerance  > 0, in the unit of the argument
 *  @returns          the upper end of the last bracket, so rising(answer) >= level whenever rising(high) is
 *  Source: Dowell and Jarratt 1971 BIT 11:168-174 (Illinois method, from memory). */
export function firstReaching(
  rising: (x: number) => number,
  level: number,
  low: number,
  high: number,
  tolerance: number,
  atLow: number = rising(low),
  atHigh: number = rising(high),
): number {
  if (atLow >= level) return low;
  if (atHigh < level) return high;
  let a = low;
  let b = high;
  let fa = atLow - level;
  let fb = atHigh - level;
  let weightA = fa;
  let weightB = fb;
  let lastSide = 0;
  for (let i = 0; i < 100 && b - a > tolerance; i += 1) {
    // Every third step halves: false position alone creeps where the function jumps.
    const share = i % 3 === 2 || weightB <= 0 ? 0.5 : weightA / (weightA - weightB);
    const x = Math.min(b - 0.4 * tolerance, Math.max(a + 0.4 * tolerance, a + share * (b - a)));
    const fx = rising(x) - level;
    if (fx >= 0) {
      b = x;
      fb = fx;
      weightB = fb;
      if (lastSide === 1) weightA /= 2;
      else weightA = fa;
      lastSide = 1;
    } else {
      a = x;
      fa = fx;
      weightA = fa;
      if (lastSide === -1) weightB /= 2;
      else weightB = fb;
      lastSide = -1;
    }
  }
  return b;
}

/** Index of the last of the ascending `values` that is at most `x`; −1 where all are above it.
 *  @param values  ascending; empty gives −1 */
export function lastAtMost(values: ArrayLike<number>, x: number): number {
  let low = 0;
  let high = values.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((values[middle] ?? Number.POSITIVE_INFINITY) <= x) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}
