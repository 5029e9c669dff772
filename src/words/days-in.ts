import { type Day, parseDay } from '../domain/day.js';
import { sayDay } from './dates.js';

/** A sentence in which days still stand as `2027-04-09`, with those days said: `on Friday 9 April`. What is computed knows days
 *  as ISO text only; people read words. Text that only looks like a day is left as it is.
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: own design. */
export function sayDaysIn(sentence: string, today: Day, locale: string): string {
  return sentence.replace(/(?<![\d-])\d{4}-\d{2}-\d{2}(?![\d-])/g, (text) => {
    const day = readDay(text);
    return day === null ? text : sayDay(day, today, locale);
  });
}

function readDay(text: string): Day | null {
  try {
    return parseDay(text);
  } catch {
    return null;
  }
}
