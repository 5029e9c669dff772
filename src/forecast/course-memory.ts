import { dayNumbered, endOfDay, type Zone } from '../domain/day.js';
import type { CountedFrom, DueCurve } from '../domain/results/due.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { type Mixture, mixtureAt, pAtLeast } from '../hours/law.js';
import { remember } from '../hours/remember.js';
import { hoursCountedFrom } from '../hours/since.js';
import type { Course, QuantileDays } from './course.js';

/** UTC milliseconds of the ends of days in one time zone, by the days' numbers. */
export type DayEnds = Map<number, number>;

/** What was computed from one estimate and does not depend on now: chances by target and day, and what is made of them. Belongs to that
 *  estimate and time zone, and is dropped with it; days are numbered from 1970-01-01. Answers are the same with an empty one. */
export interface CourseMemory {
  readonly dayEnds: DayEnds;
  /** By the instant that hours are counted from, null for the meter's own; then by day. */
  readonly mixtures: Map<number | null, Map<number, Mixture>>;
  readonly chances: Map<string, Map<number, number>>;
  readonly courses: Map<string, Course>;
  readonly quantiles: Map<string, QuantileDays>;
  /** Curves of whole tasks, by targets and calendar day. */
  readonly curves: Map<string, DueCurve>;
  /** What is said of instants at which nobody read the meter, and how hours are counted from there. */
  readonly starts: Map<number, CountedFrom>;
  readonly laws: Map<number, (atMs: number) => Mixture>;
}

/** Hours to be reached: on the meter, or as counted from an instant at which nobody read it. */
export interface HoursGoal {
  readonly targetHours: number;
  readonly counted: CountedFrom | null;
}

/** Short text that is equal for goals reached together. */
export function goalKey({ targetHours, counted }: HoursGoal): string {
  return counted === null ? `${targetHours}` : `${counted.atMs}+${targetHours - counted.hours}`;
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
    starts: new Map(),
    laws: new Map(),
  };
}

/** The chance that a goal is reached by the end of a day, by the day's number: P(Y(d) >= target), or where hours are counted from an
 *  instant P(Y(d) − Y(then) >= target − what is said of then). Each is computed once.
 *  @param goal  target above the newest reading
 *  @returns     a function of the day's number, on or after the day of the newest reading and of the instant
 *  Source: van Noortwijk 2009 Reliab. Eng. Syst. Saf. 94:2-21 (first passage of a process that never falls). */
export function chanceByDay(
  estimate: HoursEstimate,
  zone: Zone,
  goal: HoursGoal,
  memory: CourseMemory,
): (day: number) => number {
  const chances = remember(memory.chances, goalKey(goal), () => new Map<number, number>());
  const { counted } = goal;
  const mixtures = remember(memory.mixtures, counted?.atMs ?? null, () => new Map<number, Mixture>());
  const law =
    counted === null
      ? (atMs: number) => mixtureAt(estimate, atMs)
      : remember(memory.laws, counted.atMs, () => hoursCountedFrom(estimate, counted));
  return (day) => {
    const known = chances.get(day);
    if (known !== undefined) return known;
    const end = () => endOfDay(dayNumbered(day), zone);
    const mixture = remember(mixtures, day, () => law(remember(memory.dayEnds, day, end)));
    const p = pAtLeast(mixture, goal.targetHours);
    chances.set(day, p);
    return p;
  };
}
