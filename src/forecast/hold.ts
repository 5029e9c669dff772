import { interpolate } from '../maths/interpolate.js';
import type { Course } from './course.js';
import type { Stored } from './in-storage.js';
import type { CalendarLimit } from './limits.js';

/** Days after the return in which what was passed in storage is not late yet, at least: two weekends. Common practice, no source. */
const catchUpDays = 14;

/** The chance that hours are reached by each day, where none can be added while the machine is in storage: flat there, and
 *  after it as before.
 *  @param stored  ascending
 *  Source: definition. */
export function holdCourse(course: Course, stored: readonly Stored[]): Course {
  return stored.reduce((held, { from, until }) => {
    const [first, last] = [held.days[0], held.days.at(-1)];
    if (first === undefined || last === undefined || last < from || first > until) return held;
    const at = (day: number) => (day < first ? 0 : interpolate(held.days, held.p, day));
    const before = at(from - 1);
    const points = held.days.map((day, i) => ({ day, p: held.p[i] ?? 0 }));
    const all = [
      ...points.filter(({ day }) => day < from - 1),
      { day: from - 1, p: before },
      { day: until, p: before },
      { day: until + 1, p: at(until + 1) },
      ...points.filter(({ day }) => day > until + 1),
    ].filter(({ day }, i, list) => i === 0 || day > (list[i - 1]?.day ?? day));
    return { days: all.map(({ day }) => day), p: all.map(({ p }) => p) };
  }, course);
}

/** A day on which hours are reached, moved to the return where it would fall into storage.
 *  @param day  number, or Infinity
 *  Source: definition. */
export function holdDay(day: number, stored: readonly Stored[]): number {
  const stretch = stored.find(({ from, until }) => from <= day && day <= until);
  return stretch === undefined ? day : stretch.until + 1;
}

/** Number of the first day on which a calendar limit counts as late: its tolerance after it, and where that would be in storage,
 *  or the limit was passed there, its tolerance after the return, a fortnight at least.
 *  Source: own policy. */
export function lateDayOf(
  limitDay: number,
  { toleranceDays }: Pick<CalendarLimit, 'toleranceDays'>,
  stored: readonly Stored[],
): number {
  return stored.reduce(
    (late, { from, until }) =>
      late >= from && limitDay <= until ? Math.max(late, until + 1 + Math.max(catchUpDays, toleranceDays)) : late,
    limitDay + toleranceDays,
  );
}
