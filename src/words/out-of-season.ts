import type { Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import { sayDate } from './dates.js';
import { sayTask } from './task.js';

/** What is odd about season work that is written down far ahead of its season, as a clause without a full stop.
 *  @param seasonDay  on which its season calls for it
 *  @param today      the household's day
 *  @param locale     order of day and month
 *  Source: common practice, no source. */
export function sayOutOfSeason(
  { task, seasonDay }: { readonly task: string; readonly seasonDay: Day },
  machine: Pick<Machine, 'tasks'>,
  today: Day,
  locale: string,
): string {
  const when = sayDate(seasonDay, today, locale);
  return `“${sayTask(task, machine)}” is season work for about ${when}; written down now it would not come again for that season`;
}
