import type { Spread } from '../domain/results/due.js';
import { sayDecimal } from './counts.js';

/** Engine hours as far as they are worth telling: whole from 100 on, one decimal below: `386 h`, `38.6 h`, `50 h`.
 *  @param hours  finite
 *  Source: common practice, no source. */
export function sayHours(hours: number): string {
  return `${hoursNumber(hours)} h`;
}

/** Hours as a person read them off the meter, every digit kept to a hundredth: `386.2 h`.
 *  @param hours  finite
 *  Source: common practice, no source. */
export function sayReadHours(hours: number): string {
  return `${sayDecimal(hours, 2)} h`;
}

/** Hours now with their doubt: `about 386 h (379 to 394)`; where both ends read alike, `about 386 h`.
 *  @param spread  finite hours, p10 <= p50 <= p90 (eight chances in ten lie between the ends)
 *  Source: common practice, no source. */
export function sayHoursNow(spread: Spread<number>): string {
  const low = hoursNumber(spread.p10);
  const high = hoursNumber(spread.p90);
  return low === high ? `about ${sayHours(spread.p50)}` : `about ${sayHours(spread.p50)} (${low} to ${high})`;
}

function hoursNumber(hours: number): string {
  return sayDecimal(hours, Math.abs(hours) < 99.95 ? 1 : 0);
}
