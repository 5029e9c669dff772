import { dayMs } from '../../domain/day.js';
import type { Random } from '../../domain/outside.js';
import type { ForecastCase } from '../../forecast/compute.js';
import { reachedAt, sumUp, type UseSeries, usedBy } from './series.js';

/** A question about a machine whose future is known, with the answer. */
export interface ScoredCase {
  readonly series: UseSeries;
  readonly question: ForecastCase;
  /** Days after now on which the target was truly reached; null where the series ends before. */
  readonly trueDueDays: number | null;
  /** Days after now that the series goes on: no forecast is scored beyond them. */
  readonly openDays: number;
  readonly trueHoursNow: number;
}

/** Levels that are asked for: fine enough for scores, with the ends of the 50, 80 and 95 % spans among them. */
export const scoredLevels: readonly number[] = Array.from({ length: 39 }, (_, i) => (i + 1) / 40);

/** Draws questions about one machine: an owner who reads the meter every few weeks or months, a service every so many hours, now some
 *  while after the last reading. Nothing of the future decides a question.
 *  @param count   questions
 *  @param random  decides the readings, now and the interval
 *  @returns       fewer than `count` where the machine hardly ran */
export function layCases(series: UseSeries, count: number, random: Random): ScoredCase[] {
  const sums = sumUp(series.hours);
  const length = series.hours.length;
  const cases: ScoredCase[] = [];
  for (let i = 0; i < count; i += 1) {
    // At least eight months before now, at least a year and a half (or two fifths of a short series) after it.
    const ahead = Math.min(540, 0.4 * length);
    const now = Math.floor(240 + random() * (length - ahead - 240));
    const history = Math.min(now, 240 + random() * 1400);
    const apart = 18 * 5 ** random();
    const firstHours = Math.round(200 + random() * 800) - usedBy(sums, now - history);
    const shown = (at: number) => Math.round((firstHours + usedBy(sums, at)) * 10) / 10;
    const readings: { atMs: number; hours: number }[] = [];
    // Read at midnight, so that a day's use lies wholly on one side.
    for (let at = now - random() * apart; at >= now - history; at -= apart * (0.4 + 1.2 * random()))
      readings.push({ atMs: instant(series, Math.floor(at)), hours: shown(Math.floor(at)) });
    readings.reverse();
    const [oldest, newest] = [readings[0], readings.at(-1)];
    if (oldest === undefined || newest === undefined) continue;
    const perYear = Math.max(4, ((newest.hours - oldest.hours) / history) * 365.25);
    const interval = perYear * (0.15 + 0.6 * random());
    const targetHours = newest.hours + interval * (0.08 + 0.92 * random());
    const reached = reachedAt(sums, targetHours - firstHours);
    cases.push({
      series,
      question: {
        nowMs: instant(series, now),
        targetHours,
        readings,
        expect: { season: 'unknown' },
        hemisphere: 'north',
        runs: [],
        coverage: [],
        meters: [],
        notUsedSinceMs: null,
        levels: scoredLevels,
        probeDays: [30],
      },
      trueDueDays: reached === null ? null : reached - now,
      openDays: length - now,
      trueHoursNow: firstHours + usedBy(sums, now),
    });
  }
  return cases;
}

/** An instant so many days after the series' first day. */
export function instant(series: UseSeries, at: number): number {
  return Math.round((series.firstDay + at) * dayMs);
}
