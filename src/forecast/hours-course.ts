import { type Day, dayMs, dayOf, daysBetween, endOfDay, type Zone } from '../domain/day.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { type Mixture, mixtureAt, pAtLeast } from '../hours/law.js';
import { crossings, farthestDays, pastCrossings } from './crossing.js';

/** How an hours limit comes near: the chance that it is reached by the end of a day, at days counted from today. */
export interface Course {
  /** Days from today, ascending, negative before it. */
  readonly days: readonly number[];
  readonly p: readonly number[];
}

/** Quantile days of a target, counted from today; null beyond ten years. */
type QuantileDays = readonly (number | null)[];

/** Answers for the targets of one machine; equal targets and equal days are computed once. */
export interface HoursCourses {
  course(targetHours: number): Course;
  /** At 10, 50 and 90 %. */
  quantiles(targetHours: number): QuantileDays;
}

/** Days after today at which curves are computed: close at first, then ever wider, to the end of two years. */
const aheadDays: readonly number[] = [
  0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 17, 20, 23, 26, 30, 35, 40, 45, 52, 60, 68, 76, 85, 95, 105, 117, 130, 145,
  160, 180, 200, 225, 250, 275, 300, 330, 365, 400, 440, 485, 530, 580, 630, 680, 730,
];
/** Points between the newest reading and today. */
const pastPoints = 6;
const pastReachDays = 730;
const quantileLevels = [0.1, 0.5, 0.9] as const;

/** @param today  the household's day at now */
export function hoursCourses(estimate: HoursEstimate, today: Day, zone: Zone): HoursCourses {
  const { origin } = estimate.timeline;
  const endOfTodayMs = endOfDay(today, zone);
  // Clock changes move a day's end by an hour: nothing in a forecast.
  const endMs = (day: number) => endOfTodayMs + day * dayMs;
  const originDay = daysBetween(today, dayOf(origin.atMs, zone));
  const start = Math.max(-pastReachDays, Math.min(0, originDay));
  const past: number[] = [];
  for (let i = 0; i < pastPoints; i += 1) {
    const day = Math.round(start + (i * -start) / pastPoints);
    if (day < 0 && day !== past.at(-1)) past.push(day);
  }
  const days = [...past, ...aheadDays];
  const mixtures = new Map<number, Mixture>();
  const mixture = (day: number) => {
    const known = mixtures.get(day);
    if (known !== undefined) return known;
    const made = mixtureAt(estimate, endMs(day));
    mixtures.set(day, made);
    return made;
  };
  const byTarget = new Map<number, Course>();
  const quantilesByTarget = new Map<number, QuantileDays>();
  const quantiles = (targetHours: number): QuantileDays => {
    const known = quantilesByTarget.get(targetHours);
    if (known !== undefined) return known;
    const untilMs = endOfTodayMs + farthestDays * dayMs;
    const instants =
      targetHours <= origin.hours
        ? pastCrossings(estimate, targetHours, quantileLevels)
        : crossings(estimate, targetHours, quantileLevels, untilMs, dayMs / 4);
    const made = instants.map((atMs) => (atMs === null ? null : Math.ceil((atMs - endOfTodayMs) / dayMs)));
    quantilesByTarget.set(targetHours, made);
    return made;
  };
  return {
    quantiles,
    course(targetHours) {
      const known = byTarget.get(targetHours);
      if (known !== undefined) return known;
      const made =
        targetHours <= origin.hours ? reachedCourse(quantiles(targetHours)) : aheadCourse(days, targetHours, mixture);
      byTarget.set(targetHours, made);
      return made;
    },
  };
}

function aheadCourse(days: readonly number[], targetHours: number, mixture: (day: number) => Mixture): Course {
  const p: number[] = [];
  let highest = 0;
  for (const day of days) {
    // The nodes can make the chance dip by a hair: paths never fall, so neither may this.
    if (highest < 1 - 1e-6) highest = Math.max(highest, pAtLeast(mixture(day), targetHours));
    p.push(highest);
  }
  return { days, p };
}

/** A target that a reading has passed: the chance rises over the days between the two readings around it. */
function reachedCourse(quantiles: QuantileDays): Course {
  const points = new Map<number, number>();
  const first = quantiles[0] ?? 0;
  const last = quantiles[2] ?? first;
  points.set(first - 1, 0);
  quantileLevels.forEach((level, i) => {
    points.set(quantiles[i] ?? first, level);
  });
  points.set(last, Math.max(points.get(last) ?? 0, 0.9));
  points.set(last + 1, 1);
  const days = [...points.keys()].sort((a, b) => a - b);
  return { days, p: days.map((day) => points.get(day) ?? 0) };
}
