import { dayNumber, dayNumbered } from '../domain/day.js';
import type { Household } from '../domain/household.js';
import type { WaitingNotice } from '../domain/results/notice.js';
import type { Visit } from '../domain/results/visit.js';
import { workAgainDays } from './constants.js';
import { isPartsTold, isReadFirst, partsFrom } from './parts.js';
import type { Prospect } from './prospect.js';
import { callsToWork, dayNumberOf, grownGapDays, saidAbout, timesUnanswered } from './said.js';
import type { Moment } from './speaking-times.js';
import { sayAheadDays } from './work.js';

/** What will be said next about a visit, and why not yet.
 *  @param prospect  as it will be once what is said now is written down
 *  @returns a day that is today or later
 *  Source: common practice, no source. */
export function sayWaiting(visit: Visit, prospect: Prospect, household: Household, moment: Moment): WaitingNotice {
  const about = { machine: visit.machine, visit: visit.id };
  const onDay = (number: number) => dayNumbered(Math.max(number, moment.today));
  const from = visit.by === 'owner' ? partsFrom(visit, household) : null;
  const missing = new Set(visit.shopping.filter((item) => item.toBuy > 0).flatMap((item) => item.tasks));
  const isUntold = prospect.dues.some((due) => missing.has(due.task) && !isPartsTold(due, prospect, household, moment));
  const asked = visit.askOn === null ? moment.today : dayNumber(visit.askOn);
  if (from !== null && isUntold && dayNumber(visit.day) > moment.today) {
    const why = isReadFirst(visit, prospect.machine)
      ? 'Parts are missing; a look at the hour meter first tells whether the day is right.'
      : `Parts are missing; ordering by ${visit.buyBy ?? visit.day} is early enough.`;
    return { ...about, kind: 'parts', day: onDay(Math.max(from, asked)), why };
  }
  const lead = prospect.dues.find((due) => due.task === visit.leadTask);
  const calls = saidAbout(visit, lead, prospect.facts, callsToWork, household.zone);
  const last = calls.at(-1);
  const kind = 'work';
  const evening = dayNumber(visit.day) - sayAheadDays(visit);
  if (asked > moment.today) {
    return { ...about, kind, day: onDay(Math.max(evening, asked)), why: `You asked to be told on ${visit.askOn}.` };
  }
  if (last !== undefined) {
    const lastDay = last.proposedDay === null ? dayNumberOf(last.atMs, household.zone) : dayNumber(last.proposedDay);
    const saidOn = dayNumberOf(last.atMs, household.zone);
    const when = saidOn === moment.today ? 'It is said today' : `It was said on ${dayNumbered(saidOn)}`;
    const gapDays = grownGapDays(workAgainDays, timesUnanswered(calls, prospect.facts, household.zone));
    const why = `${when}; it is said again about ${gapDays / 7} weeks later, sooner where the work becomes late.`;
    return { ...about, kind, day: onDay(Math.max(evening, lastDay + gapDays - 1)), why };
  }
  const why =
    visit.by === 'dealer'
      ? `A dealer wants booking about ${visit.kind === 'getting-to-know' ? 'three' : 'two'} weeks before.`
      : `It is said on an evening before the proposed day, ${visit.day}.`;
  return { ...about, kind, day: onDay(evening), why };
}
