/** A forecast as quantiles, and what came true; both already cut to the days that could be watched. */
export interface Scored {
  readonly quantiles: readonly number[];
  readonly truth: number;
}

/** Share of truths within the middle part of the forecasts, ends included.
 *  @param levels  of the quantiles, ascending
 *  @param share   of the middle part, 0 to 1: 0.8 for the 80 % span; its ends must be among the levels
 *  @throws        RangeError where an end is not among the levels */
export function coverage(scored: readonly Scored[], levels: readonly number[], share: number): number {
  const end = (level: number) => {
    const at = levels.findIndex((one) => Math.abs(one - level) < 1e-9);
    if (at < 0) throw new RangeError(`level ${level} was not asked for`);
    return at;
  };
  const [low, high] = [end((1 - share) / 2), end((1 + share) / 2)];
  const slack = 1e-6;
  const held = scored.filter(
    ({ quantiles, truth }) => truth >= (quantiles[low] ?? 0) - slack && truth <= (quantiles[high] ?? 0) + slack,
  );
  return held.length / scored.length;
}

/** Continuous ranked probability score of a forecast told by quantiles: twice the mean quantile loss over evenly spaced levels.
 *  @param levels  evenly spaced within (0, 1)
 *  @returns       in the unit of the truth, 0 the best; for a single value the absolute error
 *  Source: Gneiting and Raftery 2007 J. Am. Stat. Assoc. 102:359-378, section 4.2 and 6.1 (from memory). */
export function crps({ quantiles, truth }: Scored, levels: readonly number[]): number {
  let sum = 0;
  levels.forEach((level, i) => {
    const miss = truth - (quantiles[i] ?? 0);
    sum += miss >= 0 ? level * miss : (level - 1) * miss;
  });
  return (2 * sum) / levels.length;
}

/** Probability integral transform in tenths: how often the truth fell into each tenth of its forecast; a calibrated forecast gives a
 *  tenth each. A truth that equals several quantiles (no use at all is likely) is shared among their tenths.
 *  Source: Czado, Gneiting and Held 2009 Biometrics 65:1254-1261 for the sharing (from memory). */
export function pitTenths(scored: readonly Scored[], levels: readonly number[]): number[] {
  const tenths = new Array<number>(10).fill(0);
  for (const { quantiles, truth } of scored) {
    const below = quantiles.filter((value) => value < truth - 1e-6).length;
    const notAbove = quantiles.filter((value) => value <= truth + 1e-6).length;
    const from = below / (levels.length + 1);
    const to = (notAbove + 1) / (levels.length + 1);
    for (let tenth = 0; tenth < 10; tenth += 1) {
      const shared = Math.max(0, Math.min(to, (tenth + 1) / 10) - Math.max(from, tenth / 10)) / (to - from);
      tenths[tenth] = (tenths[tenth] ?? 0) + shared / scored.length;
    }
  }
  return tenths;
}

/** Mean of at least one number.
 *  @throws  RangeError of none: NaN is never a score */
export function mean(values: readonly number[]): number {
  if (values.length === 0) throw new RangeError('nothing to take the mean of');
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Middle value of at least one number.
 *  @throws  RangeError of none */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (sorted.length - 1) / 2;
  const [low, high] = [sorted[Math.floor(at)], sorted[Math.ceil(at)]];
  if (low === undefined || high === undefined) throw new RangeError('nothing to take the median of');
  return (low + high) / 2;
}
