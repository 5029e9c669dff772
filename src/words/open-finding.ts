import type { Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import { isUnsafeWhenOut, type OpenFinding } from '../domain/open-findings.js';
import { sayDate } from './dates.js';
import { small } from './sentence.js';
import { sayTask } from './task.js';

/** What was found outside its limits and left so, as a clause: `found outside its limits on 25 November, to be mended`.
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayFoundOut({ day }: Pick<OpenFinding, 'day'>, today: Day, locale: string): string {
  return `found outside its limits ${day === today ? 'today' : `on ${sayDate(day, today, locale)}`}, to be mended`;
}

/** The same as one sentence, and whether the machine may be used: `Paddock mower, safety switches: found outside its limits on
 *  25 November, to be mended; do not use it until mended.`
 *  Source: common practice, no source. */
export function sayOpenFinding(
  finding: OpenFinding,
  machine: Pick<Machine, 'name' | 'tasks'>,
  today: Day,
  locale: string,
): string {
  const task = machine.tasks.find(({ id }) => id === finding.task);
  const stop = task !== undefined && isUnsafeWhenOut(task) ? '; do not use it until mended' : '';
  return `${machine.name}, ${small(sayTask(finding.task, machine))}: ${sayFoundOut(finding, today, locale)}${stop}.`;
}
