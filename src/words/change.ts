import type { Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { joinAnd } from './counts.js';
import { sayDay } from './dates.js';
import { small } from './sentence.js';
import { sayTask } from './task.js';

/** What an announced visit was when a letter about it went out. */
interface AsAnnounced {
  readonly saidOn: Day;
  readonly tasks: readonly string[];
  readonly day: Day;
}

/** Said of an announced visit that is no longer planned. */
export const visitNoLongerPlanned =
  'Since this link was sent, the visit has dropped out of the plan: what it was for is not due any more.';

/** What changed since a letter about a visit, one sentence each: the day moved, tasks came to it, tasks left it. Nothing changed
 *  gives an empty list. The letter is named by its day: the link that was opened may be of a newer one.
 *  @param before  what that letter announced
 *  @param now     the visit as it stands
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayVisitChange(
  before: AsAnnounced,
  now: Pick<Visit, 'tasks' | 'day'>,
  machine: Pick<Machine, 'tasks'>,
  today: Day,
  locale: string,
): readonly string[] {
  const said: string[] = [];
  const letter = `the letter of ${sayDay(before.saidOn, today, locale)}`;
  if (now.day !== before.day) {
    const to = sayDay(now.day, today, locale);
    said.push(`Since ${letter} the proposed day moved from ${sayDay(before.day, today, locale)} to ${to}.`);
  }
  const since = said.length > 0 ? '' : ` since ${letter}`;
  const titles = (tasks: readonly string[]) => joinAnd(tasks.map((task) => small(sayTask(task, machine))));
  const added = now.tasks.filter((task) => !before.tasks.includes(task));
  const left = before.tasks.filter((task) => !now.tasks.includes(task));
  if (added.length > 0) said.push(`New on it${since}: ${titles(added)}.`);
  if (left.length > 0) said.push(`No longer on it${since}: ${titles(left)}.`);
  return said;
}
