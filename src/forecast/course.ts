/** How an hours limit comes near: the chance that it is reached by the end of a day. */
export interface Course {
  /** Numbers of days from 1970-01-01, ascending, at least one. */
  readonly days: readonly number[];
  readonly p: readonly number[];
}

/** Days, by number, on which a target is reached with 10, 50 and 90 %; null where that lies beyond all that is looked at. */
export type QuantileDays = readonly (number | null)[];

/** Chances closer together than this are joined by a straight line. */
const flatEnough = 0.0015;
/** How far a point in the middle of a straight line may lie off it: once it is a point of its own, the rest lies off by a quarter of that. */
const bentBy = 0.002;
/** Rises that are believed to be straight by their middle alone; in others the quarters may lie off by no more than `quarterOff`.
 *  With these values 6000 random machines lay off by 0.0018 at worst; twice as coarse, a day in some thousand machines passed 0.002. */
const shortRise = 0.006;
const quarterOff = 0.0005;
/** Chances as small as this are none, and as near to the last one are the last one. */
const nothing = 1e-6;
/** Days between stops that are asked about before any line is trusted: use comes by seasons. */
const stopDays = 16;

/** The course of a chance that never falls, at as few days as straight lines between them need to stay within 0.002 of it. The days do
 *  not depend on where a look stands, so that looks on different days share them.
 *  @param chance  by the end of a day, by its number; may dip by a hair, which is levelled
 *  @param from    first day
 *  @param to      last day, after `from`
 *  @returns       from the last day without a chance to the first that is certain
 *  Source: adaptive bisection, common practice, no source. */
export function traceCourse(chance: (day: number) => number, from: number, to: number): Course {
  const points = new Map<number, number>();
  const ask = (day: number) => {
    const p = chance(day);
    points.set(day, p);
    return p;
  };
  const fine = (a: number, pa: number, b: number, pb: number) => {
    const width = b - a;
    if (width < 2 || pb - pa <= flatEnough) return;
    const middle = a + (width >> 1);
    const pMiddle = ask(middle);
    if (offLine(a, pa, b, pb, middle, pMiddle) <= bentBy) {
      if (width < 4 || pb - pa <= shortRise) return;
      // A step in the middle looks straight from there, but not from the quarters.
      const quarter = width >> 2;
      const isStraight =
        offLine(a, pa, middle, pMiddle, a + quarter, ask(a + quarter)) <= quarterOff &&
        offLine(middle, pMiddle, b, pb, middle + quarter, ask(middle + quarter)) <= quarterOff;
      if (isStraight) return;
    }
    fine(a, pa, middle, pMiddle);
    fine(middle, pMiddle, b, pb);
  };
  const stops = [from];
  for (let day = (Math.floor(from / stopDays) + 1) * stopDays; day < to; day += stopDays) stops.push(day);
  stops.push(to);
  const coarse = (low: number, pLow: number, high: number, pHigh: number) => {
    if (pHigh - pLow <= flatEnough) return;
    const [a, b] = [stops[low] ?? from, stops[high] ?? to];
    if (high - low === 1) {
      fine(a, pLow, b, pHigh);
      return;
    }
    const middle = (low + high) >> 1;
    const pMiddle = ask(stops[middle] ?? from);
    coarse(low, pLow, middle, pMiddle);
    coarse(middle, pMiddle, high, pHigh);
  };
  const last = stops.length - 1;
  coarse(0, ask(from), last, ask(to));
  return trimmed(points);
}

/** First day on which a chance is at least `level`, by number.
 *  @param chance  never falls
 *  @param course  traced from it; says where to search
 *  @param until   last day of the search, at or after the course's last
 *  @returns       the course's first day where it is already reached there; null where it is not reached by `until` */
export function firstDayAt(
  chance: (day: number) => number,
  course: Course,
  level: number,
  until: number,
): number | null {
  const above = course.p.findIndex((p) => p >= level);
  const last = course.days.length - 1;
  let low = course.days[above < 0 ? last : above - 1] ?? course.days[0] ?? until;
  let pLow = course.p[above < 0 ? last : above - 1] ?? 0;
  if (above === 0) return low;
  let high = above < 0 ? until : (course.days[above] ?? until);
  let pHigh = above < 0 ? chance(until) : (course.p[above] ?? 1);
  if (pHigh < level) return null;
  for (let i = 1; high - low > 1; i += 1) {
    const share = i % 3 === 0 || pHigh <= pLow ? 0.5 : (level - pLow) / (pHigh - pLow);
    const day = Math.min(high - 1, Math.max(low + 1, Math.round(low + share * (high - low))));
    const p = chance(day);
    if (p >= level) [high, pHigh] = [day, p];
    else [low, pLow] = [day, p];
  }
  return high;
}

/** How far a point lies off the line between two others. */
function offLine(a: number, pa: number, b: number, pb: number, day: number, p: number): number {
  return Math.abs(p - (pa + ((pb - pa) * (day - a)) / (b - a)));
}

/** Points in order, never falling; of those at the ends that say the same only the inner one stays. */
function trimmed(points: ReadonlyMap<number, number>): Course {
  const all = [...points.keys()].sort((a, b) => a - b);
  const levelled: number[] = [];
  let highest = 0;
  for (const day of all) {
    highest = Math.max(highest, points.get(day) ?? 0);
    levelled.push(highest);
  }
  const end = levelled.at(-1) ?? 0;
  let first = 0;
  while (first + 1 < all.length && (levelled[first + 1] ?? 1) <= nothing) first += 1;
  let last = all.length - 1;
  while (last > first && (levelled[last - 1] ?? 0) >= end - nothing) last -= 1;
  return { days: all.slice(first, last + 1), p: levelled.slice(first, last + 1) };
}
