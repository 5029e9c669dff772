import { dayNumber, dayNumbered } from '../domain/day.js';
import { type Household, hears } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { partsToldDays } from '../visits/parts-here.js';
import { isDayOff } from '../visits/working-days.js';
import { partsAgainDays, partsMarginDays, partsRideDays } from './constants.js';
import type { Prospect } from './prospect.js';
import type { Moment } from './speaking-times.js';
import type { Wish } from './wish.js';

/** First day number on which `parts` goes out for a visit: some days before the last day to order, and before a holiday that
 *  starts in between; null where nothing is missing.
 *  Source: common practice, no source. */
export function partsFrom(visit: Visit, household: Household): number | null {
  if (visit.buyBy === null) return null;
  let from = dayNumber(visit.buyBy) - partsMarginDays;
  for (let back = 0; back < 60 && isDayOff(dayNumbered(from), household); back++) from -= 1;
  return from;
}

/** `parts` notices: in an evening, once a cycle for what is missing, again only for tasks no notice named yet; it names the
 *  tasks that something new is to be bought for, and no others.
 *  Source: common practice, no source. */
export function wishParts(visit: Visit, prospect: Prospect, household: Household, moment: Moment): Wish[] {
  const from = partsFrom(visit, household);
  if (from === null || visit.by === 'dealer' || moment.today >= dayNumber(visit.day)) return [];
  if (visit.askOn !== null && moment.day < visit.askOn) return [];
  if (isReadFirst(visit, prospect.machine)) return [];
  const isTime = moment.today >= from;
  if (!isTime && moment.today < from - partsRideDays) return [];
  const missing = new Set(visit.shopping.filter((item) => item.toBuy > 0).flatMap((item) => item.tasks));
  const buyBy = visit.buyBy ?? visit.day;
  return household.people
    .filter((person) => hears(person, 'parts'))
    .flatMap((person): Wish[] => {
      const untold = prospect.dues.filter(
        (due) => missing.has(due.task) && !isPartsTold(due, prospect, household, moment, person.id),
      );
      if (untold.length === 0) return [];
      return [
        {
          person,
          how: isTime && moment.eveningOf !== null ? 'start' : 'ride',
          notice: {
            kind: 'parts',
            to: person.id,
            machine: visit.machine,
            visit: visit.id,
            tasks: visit.tasks.filter((task) => untold.some((due) => due.task === task)),
            proposedDay: visit.day,
            because: `What is missing should be ordered by ${buyBy} to be here for the work on ${visit.day}.`,
          },
        },
      ];
    });
}

/** Whether a `parts` notice named a task in its present cycle, to one person or to anybody, and not so long ago that it is
 *  forgotten.
 *  Source: common practice, no source. */
export function isPartsTold(
  due: Due,
  prospect: Prospect,
  household: Household,
  moment: Moment,
  person?: string,
): boolean {
  const days = partsToldDays(due, prospect.facts, household, person);
  const last = days.at(-1);
  return last !== undefined && moment.today - dayNumber(last) <= partsAgainDays;
}

/** Whether a look at the meter comes before buying anything: the day lies weeks before its limit only because the hours are
 *  in doubt.
 *  Source: own policy. */
export function isReadFirst(visit: Pick<Visit, 'cause'>, machine: Machine): boolean {
  return visit.cause.kind === 'unsure' && machine.meter.kind === 'meter';
}
