import type { Day } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import { sayDate, sayDay, sayDaySpan, sayLikelyDays } from './dates.js';

/** When a limit is reached, with its doubt, as a clause: `it reaches its limit between 9 and 21 May, most likely about the
 *  14th`; once the middle day is past, `it has probably reached its limit already (between …)`. The span is that of the
 *  tenth and ninetieth hundredths: eight chances in ten.
 *  @param spread   p10 <= p50 <= p90
 *  @param today    the household's day
 *  @param locale   order of day and month
 *  @param subject  what reaches the limit, as the clause begins: `it`, `the first of them`
 *  Source: common practice, no source. */
export function sayReach(spread: Spread<Day>, today: Day, locale: string, subject = 'it'): string {
  const span = sayLikelyDays(spread, today, locale);
  if (spread.p10 === spread.p90) {
    if (spread.p50 < today) return `${subject} passed its limit on ${sayDay(spread.p50, today, locale)}`;
    return `${subject} reaches its limit ${spread.p50 === today ? 'today' : `on ${sayDay(spread.p50, today, locale)}`}`;
  }
  if (spread.p90 < today) return `${subject} has almost certainly passed its limit, ${span}`;
  if (spread.p50 < today) {
    return `${subject} has probably passed its limit already, ${sayDaySpan(spread.p10, spread.p50, today, locale)}`;
  }
  if (spread.p10 < today) {
    if (spread.p50 === spread.p90) {
      return spread.p90 === today
        ? `${subject} has most likely reached its limit by now`
        : `${subject} may be at its limit already, and most likely gets there by ${sayDate(spread.p90, today, locale)}`;
    }
    const middle =
      spread.p50 === today
        ? 'is as likely past it as not'
        : `most likely gets there about ${sayDate(spread.p50, today, locale)}`;
    return `${subject} may be at its limit already, ${middle}, and with nine chances in ten by ${sayDate(spread.p90, today, locale)}`;
  }
  return `${subject} reaches its limit ${span}`;
}
