import { type Day, dayNumber, dayNumbered, parseDay } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { Night } from '../domain/night.js';

/** A night at or below it is a frost, degrees Celsius. Source: US National Weather Service, 32 F as "freeze". */
const freezing = 0;

/** Days are counted from a fixed day in summer, so that the turn of the year does not break an average; spring is looked at from
 *  the middle of winter on. `MM-DD`. Source: the method of NOAA/NCEI, whose seasons run from 1 August; the south half a year apart. */
const begins = {
  north: { summer: '08-01', winter: '01-01' },
  south: { summer: '02-01', winter: '07-01' },
} as const;
/** A season counts where so many of its nights are known, share. Common practice, no source. */
const leastKnown = 0.9;

/** One season's frost: in autumn the first, in spring the last. */
export interface SeasonFrost {
  readonly day: Day;
  /** Days since the fixed day in summer. */
  readonly sinceSummer: number;
}

/** First frost of each season, oldest first. A season counts where at least nine in ten nights from its summer to that frost are
 *  known: what begins in the middle of one, or has gaps, does not.
 *  @param nights     ascending by day, one a day; missing days are left out
 *  @param threshold  degrees Celsius; a night at or below it counts
 *  Source: definitions of NOAA/NCEI freeze probabilities; the share of known nights common practice, no source. */
export function firstFrosts(
  nights: readonly Night[],
  hemisphere: Household['hemisphere'],
  threshold: number = freezing,
): SeasonFrost[] {
  return seasonsOf(nights, begins[hemisphere].summer).flatMap((season) => {
    const frost = season.nights.find(({ celsius }) => celsius <= threshold);
    if (frost === undefined) return [];
    const at = dayNumber(frost.day);
    return isKnown(season.nights, season.from, at) ? [{ day: frost.day, sinceSummer: at - season.from }] : [];
  });
}

/** Last frost of each spring, oldest first; a spring counts where at least nine in ten nights from that frost to summer are known.
 *  @param nights  as `firstFrosts`; a spring that has not ended does not count
 *  Source: as `firstFrosts`. */
export function lastFrosts(
  nights: readonly Night[],
  hemisphere: Household['hemisphere'],
  threshold: number = freezing,
): SeasonFrost[] {
  const { summer, winter } = begins[hemisphere];
  return seasonsOf(nights, summer).flatMap((season) => {
    const middle = nextDate(season.from, winter);
    const frost = season.nights.findLast(({ day, celsius }) => celsius <= threshold && dayNumber(day) >= middle);
    if (frost === undefined) return [];
    const at = dayNumber(frost.day);
    return isKnown(season.nights, at, nextDate(at, summer) - 1)
      ? [{ day: frost.day, sinceSummer: at - season.from }]
      : [];
  });
}

/** Mean and spread of days since summer; the spread divides by n - 1 and is 0 for a single season.
 *  @param seasons  at least one
 *  @throws RangeError for none
 *  Source: definition. */
export function meanAndSpread(seasons: readonly SeasonFrost[]): { readonly mean: number; readonly spread: number } {
  const n = seasons.length;
  if (n === 0) throw new RangeError('no season has no mean');
  const mean = seasons.reduce((sum, { sinceSummer }) => sum + sinceSummer, 0) / n;
  const squares = seasons.reduce((sum, { sinceSummer }) => sum + (sinceSummer - mean) ** 2, 0);
  return { mean, spread: n === 1 ? 0 : Math.sqrt(squares / (n - 1)) };
}

/** Days since summer before which a frost comes with chance `p`, read off the seasons themselves.
 *  @param seasons  at least one
 *  @param p        0 to 1
 *  @throws RangeError for no season
 *  Source: Hyndman and Fan (1996), type 7. */
export function frostQuantile(seasons: readonly SeasonFrost[], p: number): number {
  const sorted = seasons.map(({ sinceSummer }) => sinceSummer).sort((a, b) => a - b);
  const at = (sorted.length - 1) * p;
  const [low, high] = [sorted[Math.floor(at)], sorted[Math.ceil(at)]];
  if (low === undefined || high === undefined) throw new RangeError('no season has no quantile');
  return low + (high - low) * (at - Math.floor(at));
}

/** The average date of a frost, the household's own word mixed with the seasons seen: `(k * own + sum of seasons) / (k + n)`.
 *  @param own     `MM-DD` that the household or the almanac gives
 *  @param weight  k, seasons that this word counts for, > 0
 *  @returns       `MM-DD`; `own` while no season is known
 *  Source: common practice, no source. */
export function mixFrost(
  own: string,
  weight: number,
  seasons: readonly SeasonFrost[],
  hemisphere: Household['hemisphere'],
): string {
  if (seasons.length === 0) return own;
  const summer = dayNumber(parseDay(`2001-${begins[hemisphere].summer}`));
  const prior = nextDate(summer, own === '02-29' ? '02-28' : own) - summer;
  const sum = seasons.reduce((all, { sinceSummer }) => all + sinceSummer, 0);
  return dayNumbered(summer + Math.round((weight * prior + sum) / (weight + seasons.length))).slice(5);
}

interface Season {
  /** Number of its first day. */
  readonly from: number;
  readonly nights: readonly Night[];
}

function seasonsOf(nights: readonly Night[], summer: string): readonly Season[] {
  const seasons = new Map<number, Night[]>();
  for (const night of nights) {
    const year = Number(night.day.slice(0, 4)) - (night.day.slice(5) < summer ? 1 : 0);
    const from = dayNumber(parseDay(`${year}-${summer}`));
    const season = seasons.get(from);
    if (season === undefined) seasons.set(from, [night]);
    else season.push(night);
  }
  return [...seasons].map(([from, own]) => ({ from, nights: own }));
}

/** Number of the first day of that date at or after a day. */
function nextDate(from: number, date: string): number {
  const year = Number(dayNumbered(from).slice(0, 4));
  const day = dayNumber(parseDay(`${year}-${date}`));
  return day >= from ? day : dayNumber(parseDay(`${year + 1}-${date}`));
}

function isKnown(nights: readonly Night[], from: number, to: number): boolean {
  const known = nights.filter(({ day }) => dayNumber(day) >= from && dayNumber(day) <= to).length;
  return known >= leastKnown * (to - from + 1);
}
