import { dayNumber } from '../domain/day.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { weekDays } from './constants.js';

/** Whether a task of the visit would pass its calendar limit if the visit waited for the week after: no reading can change
 *  that, so a question about the hours neither holds back the call to work nor takes its place.
 *  @param dues  of the visit's machine
 *  Source: definition. */
export function cannotWait(visit: Pick<Visit, 'tasks' | 'day'>, dues: readonly Due[]): boolean {
  const nextWeek = dayNumber(visit.day) + weekDays;
  return dues.some(
    (due) => visit.tasks.includes(due.task) && due.calendarDay !== null && dayNumber(due.calendarDay) < nextWeek,
  );
}
