import { interpolate } from '../maths/interpolate.js';
import type { Course } from './hours-course.js';

/** A certain day of a calendar limit, counted from today. */
export type StepAt = number;

/** The distribution of the first of several limits of one machine: hours limits share one path, so the lowest target leads and the chance is
 *  the greatest of them; calendar limits are steps to 1.
 *  @param courses  of the hours limits, any number
 *  @param steps    days of the calendar limits, any number
 *  @returns        days ascending, never falling; straight lines between keep each step within its day */
export function combineFirst(courses: readonly Course[], steps: readonly StepAt[]): Course {
  const step = steps.length === 0 ? null : Math.min(...steps);
  const days = new Set<number>();
  for (const course of courses) for (const day of course.days) if (step === null || day < step) days.add(day);
  if (step !== null) {
    days.add(step - 1);
    days.add(step);
  }
  const ordered = [...days].sort((a, b) => a - b);
  let highest = 0;
  const p = ordered.map((day) => {
    const reached = courses.map((course) =>
      day < (course.days[0] ?? day) ? 0 : interpolate(course.days, course.p, day),
    );
    const here = step !== null && day >= step ? 1 : Math.max(0, ...reached);
    highest = Math.max(highest, here);
    return highest;
  });
  return { days: ordered, p };
}
