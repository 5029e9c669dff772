import type { Machine } from '../domain/machine.js';
import type { LetterBlock } from '../domain/results/letter.js';
import type { Notice } from '../domain/results/notice.js';
import { sayAsking } from './asking.js';
import { sayBuying } from './buying.js';
import { sayDayShort, sayWhen } from './dates.js';
import { saySeason } from './due.js';
import { daysSaid, type LetterContext, machineOf, type NoticeWords, visitOf } from './letter-context.js';
import { sayMachine } from './machine.js';
import { capital, ended, oneLine, shortened, small } from './sentence.js';
import { sayTask } from './task.js';
import { sayJobs } from './visit.js';
import { headedList, paragraph, sayWork } from './work.js';

/** Characters of a trouble in a subject line. Common practice, no source. */
const mostOfTrouble = 60;

/** One notice of any kind in words. A notice whose machine or visit is no longer there still gives a true letter: the tasks
 *  it names, and why it went out.
 *  Source: common practice, no source. */
export function sayNotice(notice: Notice, context: LetterContext): NoticeWords {
  const machine = machineOf(notice, context);
  if (notice.kind === 'trouble' || machine === null) return sayTrouble(notice, machine, context);
  if (notice.kind === 'reading') return sayAsking(notice, machine, context);
  const visit = visitOf(notice, context);
  if (visit === null) return sayWithoutVisit(notice, machine, context);
  if (notice.kind === 'parts') return sayBuying(notice, visit, machine, context);
  return sayWork(notice, visit, machine, context);
}

function sayWithoutVisit(notice: Notice, machine: Machine, context: LetterContext): NoticeWords {
  const { today } = context.outlook;
  const { locale, units } = context.home.household;
  const season = machine.tasks.find((task) => notice.tasks.includes(task.id) && task.season !== undefined)?.season;
  const day = notice.proposedDay === null || notice.proposedDay < today ? null : notice.proposedDay;
  const jobs = sayJobs(notice.tasks, machine);
  const when = day === null ? '' : ` ${sayWhen(day, today, locale)}`;
  const why =
    season === undefined
      ? small(daysSaid(notice.because, context))
      : `it wants doing ${saySeason(season, { locale, units })}`;
  const items = notice.tasks.map((task) => sayTask(task, machine));
  return {
    subject: `${oneLine(machine.name)}: ${shortened(small(jobs), mostOfTrouble)}${day === null ? '' : `, ${sayDayShort(day, today, locale)}`}`,
    lead: ended(`${jobs} on ${sayMachine(machine)}${when}: ${why}`),
    blocks: items.length > 1 ? headedList('What there is to do', items) : [],
    isWork: true,
  };
}

function sayTrouble(notice: Notice, machine: Machine | null, context: LetterContext): NoticeWords {
  const because = ended(capital(daysSaid(notice.because, context)));
  const others = context.outlook.problems
    .map((problem) => ended(capital(oneLine(problem))))
    .filter((problem) => problem !== because);
  const blocks: LetterBlock[] = [
    ...headedList('Also not as it should be', others),
    ...paragraph('Until this is mended, reminders may come late or not at all.'),
  ];
  const about = oneLine(machine?.name ?? context.home.household.name);
  return {
    subject: `${about}: ${shortened(small(because.replace(/\.$/, '')), mostOfTrouble)}`,
    lead: because,
    blocks,
    isWork: false,
  };
}
