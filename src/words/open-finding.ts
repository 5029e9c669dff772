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

/** The same as one sentence, and what that means for using the machine: `Paddock mower, safety switches: found outside its limits
 *  on 25 November, to be mended; do not use it until mended.` Only a failed safety test says so; anything else says calmly
 *  that it works less well.
 *  Source: common practice, no source. */
export function sayOpenFinding(
  finding: OpenFinding,
  machine: Pick<Machine, 'name' | 'tasks'>,
  today: Day,
  locale: string,
): string {
  const meaning = isOutOfUse(finding, machine)
    ? 'do not use it until mended'
    : 'until then it may wear faster or work less well, and its manual says whether it may be used';
  return `${machine.name}, ${small(sayTask(finding.task, machine))}: ${sayFoundOut(finding, today, locale)}; ${meaning}.`;
}

/** Whether a finding takes the machine out of use until it is mended.
 *  Source: common practice, no source. */
export function isOutOfUse(finding: OpenFinding, { tasks }: Pick<Machine, 'tasks'>): boolean {
  const task = tasks.find(({ id }) => id === finding.task);
  return task !== undefined && isUnsafeWhenOut(task, finding);
}
