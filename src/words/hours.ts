import type { Spread } from '../domain/results/due.js';
import { sayDecimal } from './counts.js';

/** Engine hours as far as they are worth telling: whole from 100 on, one decimal below: `386 h`, `38.6 h`, `50 h`.
 *  @param hours  finite
 *  Source: common practice, no source. */
export function sayHours(hours: number): string {
  return `${hoursNumber(hours)} h`;
}

/** What a sensor has counted: seconds while it is too little to show in tenths of an hour, so that a first try is seen: `139 s`, `12.5 h`.
 *  @param seconds  finite, >= 0
 *  Source: common practice, no source. */
export function sayRunTime(seconds: number): string {
  return seconds < 360 ? `${sayDecimal(seconds, 0)} s` : sayHours(seconds / 3600);
}

/** Hours as a person read them off the meter, every digit kept to a hundredth: `386.2 h`.
 *  @param hours  finite
 *  Source: common practice, no source. */
export function sayReadHours(hours: number): string {
  return `${sayDecimal(hours, 2)} h`;
}

/** Hours to the tenth, as far as a pencil follows them: `386.2 h`, `9 h`. Sums are made of what is told, so that they come out.
 *  @param hours  finite
 *  Source: common practice, no source. */
export function sayTenths(hours: number): string {
  return `${sayDecimal(toTenth(hours), 1)} h`;
}

/** The number of hours that `sayTenths` tells.
 *  @param hours  finite
 *  Source: common practice, no source. */
export function toTenth(hours: number): number {
  return Math.round(hours * 10) / 10;
}

/** Where the doubt is so many hours wide, tenths would promise what nobody knows. Common practice, no source. */
const wholeHoursFromWidth = 2;

/** Hours now with their doubt: `about 386 h (379 to 394)`; where both ends read alike, `about 386 h`. Tenths are told only
 *  below 100 h and while the doubt is narrow, or below 1 h.
 *  @param spread  finite hours, p10 <= p50 <= p90 (eight chances in ten lie between the ends)
 *  Source: common practice, no source. */
export function sayHoursNow(spread: Spread<number>): string {
  const isWide = spread.p90 - spread.p10 >= wholeHoursFromWidth;
  // Less than an hour is told in tenths all the same: a new machine at 0.4 h does not stand at 0 h.
  const said = (hours: number) => (isWide && Math.abs(hours) >= 0.95 ? sayDecimal(hours, 0) : hoursNumber(hours));
  const low = said(spread.p10);
  const high = said(spread.p90);
  return low === high ? `about ${said(spread.p50)} h` : `about ${said(spread.p50)} h (${low} to ${high})`;
}

function hoursNumber(hours: number): string {
  return sayDecimal(hours, Math.abs(hours) < 99.95 ? 1 : 0);
}
