import { type Day, daysBetween } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import { sayDate } from '../words/dates.js';
import { sayTask } from '../words/task.js';
import { pageFault } from './errors.js';
import type { Shown } from './shown.js';

/** Work that only a season brings, confirmed this many days before its day, was probably ticked by a slip: it would count for
 *  the season to come, and nothing would call for it then. Common practice, no source. */
const mostDaysEarly = 60;

/** What to ask before season work is written down far ahead of its season.
 *  @returns null where nothing of what is ticked is */
export function askOutOfSeason(
  tasks: readonly string[],
  day: Day,
  { machine, ahead, outlook, household }: Shown,
): Fault | null {
  for (const id of tasks) {
    const task = machine.tasks.find((one) => one.id === id);
    const due = ahead?.dues.find((one) => one.task === id);
    if (task?.season === undefined || task.every !== undefined || due?.limit !== 'season') continue;
    if (due.calendarDay === null || daysBetween(day, due.calendarDay) <= mostDaysEarly) continue;
    const when = sayDate(due.calendarDay, outlook.today, household.locale);
    return pageFault({
      code: 'out-of-season',
      message: `“${sayTask(id, machine)}” is season work for about ${when}; written down now it would not come again for that season`,
      remedy: 'Untick it. If it really was done, tick that below and press the button again.',
    });
  }
  return null;
}
