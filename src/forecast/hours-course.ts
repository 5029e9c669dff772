import { dayNumber, dayOf, type Zone } from '../domain/day.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { remember } from '../hours/remember.js';
import { type Course, firstDayAt, type QuantileDays, traceCourse } from './course.js';
import { type CourseMemory, chanceByDay, goalKey, type HoursGoal } from './course-memory.js';
import { farthestDays, pastCrossings } from './crossing.js';

/** Answers for the targets of one machine, in numbers of days. */
export interface HoursCourses {
  /** From the newest reading, or the instant that is counted from, to at least two years after today. */
  course(goal: HoursGoal): Course;
  /** At 10, 50 and 90 %; at least ten years are looked at. */
  quantiles(goal: HoursGoal): QuantileDays;
  /** Names what the answers depend on besides the estimate and the target. */
  readonly horizon: number;
}

/** Days that a course reaches beyond today, at least. */
const aheadDays = 730;
/** The ends of what is looked at move in steps of so many days, so that looks on neighbouring days share their answers. */
const horizonStep = 128;
const quantileLevels = [0.1, 0.5, 0.9] as const;

/** @param today   number of the household's day at now
 *  @param memory  of this estimate and zone */
export function hoursCourses(estimate: HoursEstimate, today: number, zone: Zone, memory: CourseMemory): HoursCourses {
  const { origin } = estimate.timeline;
  const horizon = (Math.floor(today / horizonStep) + 1) * horizonStep;
  const ahead = (goal: HoursGoal) => {
    const chance = chanceByDay(estimate, zone, goal, memory);
    const from = dayNumber(dayOf(Math.max(origin.atMs, goal.counted?.atMs ?? origin.atMs), zone));
    return traceCourse(chance, from, Math.max(from + 1, horizon + aheadDays));
  };
  const course = (goal: HoursGoal): Course =>
    remember(memory.courses, `${goalKey(goal)} ${horizon}`, () =>
      goal.targetHours <= origin.hours ? reachedCourse(quantiles(goal)) : ahead(goal),
    );
  const quantiles = (goal: HoursGoal): QuantileDays =>
    remember(memory.quantiles, `${goalKey(goal)} ${horizon}`, () => {
      const { targetHours } = goal;
      if (targetHours <= origin.hours) {
        return pastCrossings(estimate, targetHours, quantileLevels).map((atMs) => dayNumber(dayOf(atMs, zone)));
      }
      const chance = chanceByDay(estimate, zone, goal, memory);
      const until = horizon + farthestDays;
      return quantileLevels.map((level) => firstDayAt(chance, course(goal), level, until));
    });
  return { course, quantiles, horizon };
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
