/** Sum of products of `n` numbers from two places.
 *  @param a,b          arrays
 *  @param aFrom,bFrom  where each begins; both must hold `n` numbers from there */
export function dot(a: Float64Array, aFrom: number, b: Float64Array, bFrom: number, n: number): number {
  // Four sums side by side: one alone waits for each addition (a fit with 60 windows takes two thirds of the time this way).
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let i = 0;
  for (; i + 3 < n; i += 4) {
    const at = aFrom + i;
    const bt = bFrom + i;
    s0 += (a[at] ?? 0) * (b[bt] ?? 0);
    s1 += (a[at + 1] ?? 0) * (b[bt + 1] ?? 0);
    s2 += (a[at + 2] ?? 0) * (b[bt + 2] ?? 0);
    s3 += (a[at + 3] ?? 0) * (b[bt + 3] ?? 0);
  }
  for (; i < n; i += 1) s0 += (a[aFrom + i] ?? 0) * (b[bFrom + i] ?? 0);
  return s0 + s1 + (s2 + s3);
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
