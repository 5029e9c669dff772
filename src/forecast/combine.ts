import { interpolate } from '../maths/interpolate.js';
import type { Course } from './course.js';

/** The distribution of the first of several limits of one machine: hours limits share one path, so the lowest target leads and the chance is
 *  the greatest of them; calendar limits are steps to 1.
 *  @param courses  of the hours limits, any number
 *  @param step     number of the day of the first calendar limit; null where there is none
 *  @returns        days ascending, never falling; straight lines between keep the step within its day; [] without any limit */
export function combineFirst(courses: readonly Course[], step: number | null): Course {
  const [only] = courses;
  if (only !== undefined && courses.length === 1 && step === null) return only;
  const days = new Set<number>();
  for (const course of courses) for (const day of course.days) if (step === null || day < step) days.add(day);
  if (step !== null) {
    days.add(step - 1);
    days.add(step);
  }
  const ordered = [...days].sort((a, b) => a - b);
  const p: number[] = [];
  let highest = 0;
  for (const day of ordered) {
    if (step !== null && day >= step) highest = 1;
    for (const course of courses) {
      if (day >= (course.days[0] ?? day)) highest = Math.max(highest, interpolate(course.days, course.p, day));
    }
    p.push(highest);
  }
  return { days: ordered, p };
}
