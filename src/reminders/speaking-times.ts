import {
  type Day,
  dayNumber,
  dayNumbered,
  dayOf,
  instantOf,
  startOfDay,
  type TimeOfDay,
  timeOfDayAt,
} from '../domain/day.js';
import type { Household } from '../domain/household.js';
import { morningEnds } from '../visits/constants.js';
import { isDayOff } from '../visits/working-days.js';

/** What the household's clock says at an instant. */
export interface Moment {
  readonly nowMs: number;
  readonly day: Day;
  /** Number of `day`. */
  readonly today: number;
  /** Where `day` begins. */
  readonly startMs: number;
  /** No message now: quiet hours, or a day off. */
  readonly isQuiet: boolean;
  /** Number of the day whose evening it is; null before the evening. Where the evening falls into quiet hours it is made up
   *  for once they end: on the next morning, or where they go on beyond it, in the hours that they leave of the day itself. */
  readonly eveningOf: number | null;
  /** Still early enough to work today. */
  readonly isMorning: boolean;
}

/** The household's clock at an instant.
 *  @param atMs  UTC milliseconds
 *  Source: common practice, no source. */
export function momentAt(atMs: number, household: Household): Moment {
  const { zone, evening, quiet } = household;
  const day = dayOf(atMs, zone);
  const today = dayNumber(day);
  const time = timeOfDayAt(atMs, zone);
  const quietHour = isQuietTime(time, household);
  const eveningIsQuiet = isQuietTime(evening, household);
  // What is said after the morning is too late for work on that day.
  const opens = eveningIsQuiet ? quiet.to : evening;
  return {
    nowMs: atMs,
    day,
    today,
    startMs: startOfDay(day, zone),
    isQuiet: quietHour || isDayOff(day, household),
    eveningOf: eveningIsQuiet && quiet.to < morningEnds ? today - 1 : time >= opens ? today : null,
    isMorning: time < morningEnds,
  };
}

/** Whether a time of day lies in the household's quiet hours, which may run over midnight; equal ends mean none.
 *  Source: common practice, no source. */
export function isQuietTime(time: TimeOfDay, household: Pick<Household, 'quiet'>): boolean {
  const { from, to } = household.quiet;
  if (from === to) return false;
  return from < to ? from <= time && time < to : time >= from || time < to;
}

/** Instants after `atMs`, ascending, at which something can become sayable: each day's start, the end of its quiet hours and
 *  its evening, over `days` days from today on.
 *  Source: common practice, no source. */
export function speakingInstants(atMs: number, household: Household, days: number): number[] {
  const { zone, evening, quiet } = household;
  const today = dayNumber(dayOf(atMs, zone));
  const instants: number[] = [];
  for (let number = today; number <= today + days; number++) {
    const day = dayNumbered(number);
    instants.push(startOfDay(day, zone), instantOf(day, quiet.to, zone), instantOf(day, evening, zone));
  }
  return [...new Set(instants)].filter((instant) => instant > atMs).sort((a, b) => a - b);
}
