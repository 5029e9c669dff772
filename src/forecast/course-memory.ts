import { type Day, dayNumbered, endOfDay, type Zone } from '../domain/day.js';
import type { DueCurve } from '../domain/results/due.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { type Mixture, mixtureAt, pAtLeast } from '../hours/law.js';
import { remember } from '../hours/remember.js';
import type { Course, QuantileDays } from './course.js';

/** UTC milliseconds of the ends of days in one time zone, by the days' numbers. */
export type DayEnds = Map<number, number>;

/** What was computed from one estimate and does not depend on now: chances by target and day, and what is made of them. Belongs to that
 *  estimate and time zone, and is dropped with it; days are numbered from 1970-01-01. Answers are the same with an empty one. */
export interface CourseMemory {
  readonly dayEnds: DayEnds;
  readonly mixtures: Map<number, Mixture>;
  readonly chances: Map<number, Map<number, number>>;
  readonly courses: Map<string, Course>;
  readonly quantiles: Map<string, QuantileDays>;
  /** Curves of whole tasks, by targets and calendar day. */
  readonly curves: Map<string, DueCurve>;
  /** Median hours on days of the past on which nobody wrote them down. */
  readonly pastHours: Map<Day, number | null>;
}

/** A memory that holds nothing yet.
 *  @param dayEnds  may be shared by all estimates of a household
 *  Source: own design. */
export function newCourseMemory(dayEnds: DayEnds = new Map()): CourseMemory {
  return {
    dayEnds,
    mixtures: new Map(),
    chances: new Map(),
    courses: new Map(),
    quantiles: new Map(),
    curves: new Map(),
    pastHours: new Map(),
  };
}

/** The chance that the meter stands at a target or past it at the end of a day, by the day's number: P(Y(d) >= target), each computed once.
 *  @param targetHours  above the newest reading
 *  @returns            a function of the day's number, on or after the day of the newest reading
 *  Source: van Noortwijk 2009 Reliab. Eng. Syst. Saf. 94:2-21 (first passage of a process that never falls). */
export function chanceByDay(
  estimate: HoursEstimate,
  zone: Zone,
  targetHours: number,
  memory: CourseMemory,
): (day: number) => number {
  const chances = remember(memory.chances, targetHours, () => new Map<number, number>());
  return (day) => {
    const known = chances.get(day);
    if (known !== undefined) return known;
    const end = () => endOfDay(dayNumbered(day), zone);
    const mixture = remember(memory.mixtures, day, () => mixtureAt(estimate, remember(memory.dayEnds, day, end)));
    const p = pAtLeast(mixture, targetHours);
    chances.set(day, p);
    return p;
  };
}
