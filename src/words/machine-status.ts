import type { Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Due, Spread } from '../domain/results/due.js';
import type { MachineOutlook, Outlook } from '../domain/results/outlook.js';
import type { Visit } from '../domain/results/visit.js';
import { sayDate, sayDaySpan, sayWhen } from './dates.js';
import { sayHoursNow } from './hours.js';
import { sayTask } from './task.js';
import { sayVisitTitle } from './visit.js';

/** Tasks told of one machine at a glance. Common practice, no source. */
const mostDues = 3;

type BriefDue = Pick<Due, 'task' | 'day' | 'unknownLast'>;

/** One machine at a glance, two to three lines: its hours now, the next visit with its day and id, and up to three tasks that
 *  come due next. A task whose past nobody knows is left out: the visit for getting to know the machine says it.
 *  @param status  of the machine, its dues soonest first
 *  @param visits  of the whole outlook, soonest first
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  @returns       the hours first; without a visit, or without a due day, what is known
 *  Source: common practice, no source. */
export function sayMachineBriefly(
  status: Pick<MachineOutlook, 'machine' | 'hoursNow'> & { readonly dues: readonly BriefDue[] },
  machine: Pick<Machine, 'name' | 'tasks'>,
  visits: Outlook['visits'],
  today: Day,
  locale: string,
): readonly string[] {
  const visit = visits.find((each) => each.machine === status.machine);
  const dues = status.dues.flatMap((due) => (due.day === null || due.unknownLast ? [] : [sayNext(due, due.day)]));
  const lines = [
    `${machine.name}: ${status.hoursNow === null ? 'hours not known yet' : sayHoursNow(status.hoursNow)}`,
    visit === undefined
      ? '  no visit ahead'
      : `  next visit ${sayVisitDay(visit)}: ${sayVisitTitle(visit, machine)} (${visit.id})`,
  ];
  if (dues.length > 0) lines.push(`  due: ${dues.slice(0, mostDues).join('; ')}`);
  return lines;

  function sayVisitDay({ day }: Visit): string {
    return day < today ? 'at the next chance' : sayWhen(day, today, locale);
  }

  function sayNext({ task }: BriefDue, spread: Spread<Day>): string {
    const when =
      spread.p50 < today
        ? `since ${spread.p10 === spread.p90 ? '' : 'about '}${sayDate(spread.p50, today, locale)}`
        : sayDaySpan(spread.p10, spread.p90, today, locale);
    return `${sayTask(task, machine)}, ${when}`;
  }
}
