import type { Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Visit } from '../domain/results/visit.js';
import { type CausedVisit, sayCause } from './cause.js';
import { sayCount, sayNumber } from './counts.js';
import { sayBy, sayMinutes, sayWhen } from './dates.js';
import { sayMachine } from './machine.js';
import { sayReach } from './reach.js';
import { small } from './sentence.js';
import { sayTask } from './task.js';

/** Minutes from which a first look over is for more than one day. Common practice, no source. */
const mostOfOneDay = 240;

const lookFirst =
  ' Look first, and write down what it needs and the part numbers; buy nothing yet, it is named once you have ticked what you looked at.';

/** What a visit is, in a few words: `Change engine oil and filter`, `Change engine oil and filter, and grease the loader
 *  pins`, `Change engine oil and filter, and five more`; the lead task comes first. A visit to a machine whose past nobody
 *  knows is `Getting to know it, 9 jobs`, unless the dealer does them.
 *  Source: common practice, no source. */
export function sayVisitTitle(
  visit: Pick<Visit, 'tasks' | 'leadTask' | 'kind' | 'by'>,
  machine: Pick<Machine, 'tasks'>,
): string {
  if (visit.kind === 'getting-to-know' && visit.by === 'owner')
    return `Getting to know it, ${sayCount(visit.tasks.length, 'job')}`;
  return sayJobs([visit.leadTask, ...visit.tasks.filter((task) => task !== visit.leadTask)], machine);
}

/** Tasks as one phrase, the first in full: `Change engine oil and filter, and five more`. No task gives `Nothing`.
 *  @param tasks  ids, the most telling first
 *  Source: common practice, no source. */
export function sayJobs(tasks: readonly string[], machine: Pick<Machine, 'tasks'>): string {
  const [first, second] = tasks;
  if (first === undefined) return 'Nothing';
  const title = sayTask(first, machine);
  if (second === undefined) return title;
  if (tasks.length === 2) return `${title}, and ${small(sayTask(second, machine))}`;
  return `${title}, and ${sayNumber(tasks.length - 1)} more`;
}

/** The sentence that says it all: what, which machine, by when, how sure. `Change engine oil and filter on the hill tractor
 *  this Saturday, 22 March: it reaches its limit between 11 March and 9 April, most likely about 24 March.`
 *  @param visit   with its proposed day and the days on which its first limit is likely reached
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  Source: common practice, no source. */
export function sayVisit(
  visit: Pick<Visit, 'tasks' | 'leadTask' | 'kind' | 'by' | 'day' | 'due' | 'cause' | 'minutes' | 'buyBy' | 'shopping'>,
  machine: Pick<Machine, 'tasks' | 'name'>,
  today: Day,
  locale: string,
): string {
  const which = sayMachine(machine);
  const day = visit.day < today ? 'at the next chance' : sayWhen(visit.day, today, locale);
  const several = visit.tasks.length > 1;
  const isUnknown = visit.kind === 'getting-to-know';
  const reach = sayWhyVisit(visit, machine, today, locale);
  const jobs = sayVisitTitle(visit, machine);
  if (visit.by === 'dealer') {
    const by = visit.day < today ? 'as soon as you can' : `${sayBy(visit.day, today, locale)} if you can`;
    return `Book the dealer for ${which}, ${by}: ${small(jobs)}; ${reach}.`;
  }
  if (isUnknown) {
    const jobs = `${sayCount(visit.tasks.length, 'job')}, ${sayTimeInAll(visit)}`;
    return `Get to know ${which} ${day}: a first look over, ${jobs}, because ${reach}.${isLookFirst(visit) ? lookFirst : ''}${saySpread(visit)}`;
  }
  return `${jobs}${several ? ',' : ''} on ${which} ${day}: ${reach}.`;
}

/** When a visit's first limit is reached and why its day is not just before that, as a clause; of a machine whose past nobody
 *  knows it says so.
 *  @param today   the household's day
 *  @param locale  order of day and month
 *  @param jobs    what several tasks are called: `them` only where the sentence named them
 *  Source: common practice, no source. */
export function sayWhyVisit(
  visit: CausedVisit & Pick<Visit, 'tasks' | 'kind'>,
  machine: Pick<Machine, 'tasks'>,
  today: Day,
  locale: string,
  jobs: 'them' | 'its jobs' = 'them',
): string {
  const several = visit.tasks.length > 1;
  if (visit.kind === 'getting-to-know') {
    return `nobody knows when ${several ? 'its jobs were' : 'it was'} last done`;
  }
  const cause = sayCause(visit, machine, today);
  const subject = several ? `the first of ${jobs}` : 'it';
  const { p10, p90 } = visit.due;
  // Its day was just named.
  if (p10 === p90 && p90 === visit.day && visit.day > today) return `${subject} reaches its limit that day`;
  const reach = sayReach(visit.due, today, locale, subject);
  return cause === '' ? reach : `${reach}; ${cause}`;
}

/** The one figure of a visit's work: `about 1 h 50`; `about 11 h 46 in all` where it is long enough for several days.
 *  Source: common practice, no source. */
export function sayTimeInAll(visit: Pick<Visit, 'kind' | 'minutes' | 'by'>): string {
  return `about ${sayMinutes(visit.minutes)}${isForSeveralDays(visit) ? ' in all' : ''}`;
}

/** What to do with a first look over that is too long for a day, as a sentence with a blank before it; else empty.
 *  Source: common practice, no source. */
export function saySpread(visit: Pick<Visit, 'kind' | 'minutes' | 'by'>): string {
  return isForSeveralDays(visit) ? ' Take several days for it: what you tick is kept, and the rest stays open.' : '';
}

/** Whether a first look is still to be begun, before which nothing is bought.
 *  Source: common practice, no source. */
export function isLookFirst(visit: Pick<Visit, 'kind' | 'by' | 'buyBy' | 'shopping'>): boolean {
  if (visit.kind !== 'getting-to-know' || visit.by !== 'owner') return false;
  return visit.buyBy === null && visit.shopping.some((item) => item.toBuy > 0);
}

/** Whether a first look over is too long for one day.
 *  Source: common practice, no source. */
export function isForSeveralDays(visit: Pick<Visit, 'kind' | 'minutes' | 'by'>): boolean {
  return visit.kind === 'getting-to-know' && visit.by === 'owner' && visit.minutes > mostOfOneDay;
}
