import type { Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { joinAnd } from './counts.js';
import { sayDay } from './dates.js';
import { small } from './sentence.js';
import { sayTask } from './task.js';

/** What an announced visit was when its link went out. */
interface AsAnnounced {
  readonly tasks: readonly string[];
  readonly day: Day;
}

/** What changed since a link was sent, one sentence each: the day moved, tasks came to it, tasks left it. Nothing changed
 *  gives an empty list.
 *  @param before  the revision that the link belongs to
 *  @param now     the visit as it stands; null: it is no longer planned
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayVisitChange(
  before: AsAnnounced,
  now: Pick<Visit, 'tasks' | 'day'> | null,
  machine: Pick<Machine, 'tasks'>,
  today: Day,
  locale: string,
): readonly string[] {
  if (now === null)
    return ['Since this link was sent, the visit has dropped out of the plan: what it was for is not due any more.'];
  const said: string[] = [];
  if (now.day !== before.day) {
    const to = sayDay(now.day, today, locale);
    said.push(`Since this link was sent, the proposed day moved from ${sayDay(before.day, today, locale)} to ${to}.`);
  }
  const titles = (tasks: readonly string[]) => joinAnd(tasks.map((task) => small(sayTask(task, machine))));
  const added = now.tasks.filter((task) => !before.tasks.includes(task));
  const left = before.tasks.filter((task) => !now.tasks.includes(task));
  if (added.length > 0) said.push(`New on it: ${titles(added)}.`);
  if (left.length > 0) said.push(`No longer on it: ${titles(left)}.`);
  return said;
}
