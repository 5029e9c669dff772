/** What makes a machine's dates hard to tell. */
export type Character = 'seasonal' | 'bursty' | 'flat';

/** What one machine truly did: its hours day by day. */
export interface UseSeries {
  /** Kind of machine; scores are told family by family. */
  readonly family: string;
  readonly character: Character;
  readonly name: string;
  /** Days since 1970 of the first number. */
  readonly firstDay: number;
  /** Hours run on each day, 0 to 24. */
  readonly hours: Float64Array;
  /** The true season word, as an owner would say it. */
  readonly word: 'even' | 'summer' | 'winter' | 'spring-autumn' | 'spring' | 'autumn';
}

/** Hours run from the series' first day up to a time in days after it; within a day the hours are spread evenly.
 *  @param sums  from sumUp
 *  @param at    days after the first day, cut to the series */
export function usedBy(sums: Float64Array, at: number): number {
  const last = sums.length - 1;
  if (at <= 0) return 0;
  if (at >= last) return sums[last] ?? 0;
  const day = Math.floor(at);
  const from = sums[day] ?? 0;
  return from + (at - day) * ((sums[day + 1] ?? from) - from);
}

/** Running sums: hours run before each day, and after the last. */
export function sumUp(hours: Float64Array): Float64Array {
  const sums = new Float64Array(hours.length + 1);
  for (let d = 0; d < hours.length; d += 1) sums[d + 1] = (sums[d] ?? 0) + (hours[d] ?? 0);
  return sums;
}

/** When so many hours were first reached, days after the first day; null where the series ends before. */
export function reachedAt(sums: Float64Array, hours: number): number | null {
  const day = sums.findIndex((sum) => sum >= hours);
  if (day < 0) return null;
  if (day === 0) return 0;
  const before = sums[day - 1] ?? 0;
  return day - 1 + (hours - before) / ((sums[day] ?? hours) - before);
}
