import { dayNumber } from '../domain/day.js';
import { type Household, hears, type NoticeKind, type Person } from '../domain/household.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { dealerAfterLookDays } from '../visits/constants.js';
import { chanceBy } from '../visits/curve-sum.js';
import { cannotWait } from './cannot-wait.js';
import {
  answerDays,
  dealerAheadDays,
  firstLateGapDays,
  gettingToKnowAheadDays,
  longPastDays,
  mostLateDoublings,
  pLateToSay,
  workAgainAfterReadingDays,
  workAgainDays,
} from './constants.js';
import type { Prospect } from './prospect.js';
import { callsToWork, dayNumberOf, grownGapDays, hasReadingSince, saidAbout, timesUnanswered } from './said.js';
import type { Moment } from './speaking-times.js';
import type { Wish } from './wish.js';

/** `work` (or `season`) on the evening before the visit's day, or on its morning; `late` in their place once a limit and its
 *  tolerance are probably passed, at gaps of 7, 14, 28, 56 and ever after 112 days. A call nobody answered comes again after two weeks, then four,
 *  eight and every sixteen, with the parts still missing beside it, since somebody who never bought them cannot work.
 *  Source: common practice, no source. */
export function wishWork(visit: Visit, prospect: Prospect, household: Household, moment: Moment): Wish[] {
  if (visit.askOn !== null && moment.day < visit.askOn) return [];
  const opening = openingFor(visit, moment);
  if (opening === null || isHeldByQuestion(visit, prospect, household, moment)) return [];
  const lead = prospect.dues.find((due) => due.task === visit.leadTask);
  const calls = saidAbout(visit, lead, prospect.facts, callsToWork, household.zone);
  const unheard = { ...prospect.facts, sent: prospect.facts.lateUnheard };
  const toldLate = [...calls, ...saidAbout(visit, lead, unheard, ['late'], household.zone)];
  const late = isLate(visit, prospect, moment) && (calls.length > 0 || isLongPast(visit, moment));
  const kind: NoticeKind = late ? 'late' : 'work';
  const missing = new Set(
    visit.buyBy === null ? [] : visit.shopping.filter((item) => item.toBuy > 0).flatMap((item) => item.tasks),
  );
  return household.people
    .filter((person) => hears(person, kind))
    .flatMap((person) => {
      const own = calls.filter((notice) => notice.to === person.id);
      const ready =
        kind === 'late'
          ? isLateReady(person, own, toldLate, household, moment)
          : isWorkReady(visit, own, prospect, household, moment);
      if (!ready) return [];
      const notice = {
        kind,
        to: person.id,
        machine: visit.machine,
        visit: visit.id,
        tasks: visit.tasks,
        proposedDay: visit.day,
        because: whyWork(kind, visit, own.length),
      };
      const again = own.length > 0 && missing.size > 0 && visit.by === 'owner' && hears(person, 'parts');
      const wishes: Wish[] = [{ person, how: opening, notice }];
      if (again) {
        const because = 'The work was not confirmed and these were never said to be in hand.';
        const tasks = visit.tasks.filter((task) => missing.has(task));
        wishes.push({ person, how: 'ride', notice: { ...notice, kind: 'parts', tasks, because } });
      }
      return wishes;
    });
}

/** Whether a limit and its tolerance are likelier passed by today than not.
 *  Source: definition. */
function isLate(visit: Visit, prospect: Prospect, moment: Moment): boolean {
  if (visit.kind === 'getting-to-know') return false;
  return prospect.dues.some(
    (due: Due) => visit.tasks.includes(due.task) && chanceBy(due.lateCurve, moment.today) > pLateToSay,
  );
}

/** Days before the visit's day from whose evening on it may be said.
 *  Source: common practice, no source. */
export function sayAheadDays(visit: Visit): number {
  // Unannounced it moves on with today, always this far ahead: said any later it would never be said.
  if (visit.by === 'dealer') return visit.kind === 'getting-to-know' ? dealerAfterLookDays : dealerAheadDays;
  return visit.kind === 'getting-to-know' ? gettingToKnowAheadDays : 1;
}

function openingFor(visit: Visit, moment: Moment): Wish['how'] | null {
  const day = dayNumber(visit.day);
  const ahead = sayAheadDays(visit);
  const { eveningOf, today } = moment;
  if (eveningOf !== null && day - ahead <= eveningOf && eveningOf < day) return 'start';
  if (today === day && moment.isMorning) return 'start';
  return day - ahead <= today && today < day ? 'ride' : null;
}

/** A question about this visit is out, and its answer may come before anything is lost. */
function isHeldByQuestion(visit: Visit, prospect: Prospect, household: Household, moment: Moment): boolean {
  const { facts } = prospect;
  if (cannotWait(visit, prospect.dues)) return false;
  return facts.sent.some(
    (notice) =>
      notice.kind === 'reading' &&
      notice.visit === visit.id &&
      moment.today - dayNumberOf(notice.atMs, household.zone) < answerDays &&
      !hasReadingSince(facts, notice.atMs),
  );
}

type Call = ReturnType<typeof saidAbout>[number];

function isWorkReady(
  visit: Visit,
  own: readonly Call[],
  prospect: Prospect,
  household: Household,
  moment: Moment,
): boolean {
  const last = own.at(-1);
  if (last === undefined) return true;
  const lastDay = last.proposedDay === null ? dayNumberOf(last.atMs, household.zone) : dayNumber(last.proposedDay);
  const answered = hasReadingSince(prospect.facts, last.atMs);
  // A call for a day that moved nearer (a reading showed more use) must still say so, once.
  if (lastDay > moment.today && dayNumber(visit.day) < lastDay) return answered;
  const inVain = timesUnanswered(own, prospect.facts, household.zone);
  return dayNumber(visit.day) - lastDay >= (answered ? workAgainAfterReadingDays : grownGapDays(workAgainDays, inVain));
}

/** @param toldLate  what was said to anybody, and what was written and reached nobody: where the first person cannot be reached, the
 *                   second must hear of it all the same */
function isLateReady(
  person: Person,
  own: readonly Call[],
  toldLate: readonly Call[],
  household: Household,
  moment: Moment,
): boolean {
  const { zone, people } = household;
  const daysSince = (call: Call) => moment.today - dayNumberOf(call.atMs, zone);
  const wait = person.secondAfterDays ?? 0;
  if (wait > 0) {
    const lates = toldLate.filter((call) => call.kind === 'late');
    const first = lates.sort((a, b) => a.atMs - b.atMs)[0];
    const somebodyFirst = people.some((other) => (other.secondAfterDays ?? 0) === 0 && hears(other, 'late'));
    if (somebodyFirst && (first === undefined || daysSince(first) < wait)) return false;
  }
  const last = own.at(-1);
  if (last === undefined) return true;
  const told = own.filter((call) => call.kind === 'late').length;
  return daysSince(last) >= firstLateGapDays * 2 ** Math.min(told, mostLateDoublings);
}

function isLongPast(visit: Visit, moment: Moment): boolean {
  return moment.today - dayNumber(visit.due.p90) > longPastDays;
}

function whyWork(kind: NoticeKind, visit: Visit, before: number): string {
  const said = before === 1 ? 'once' : before === 2 ? 'twice' : `${before} times`;
  if (kind === 'late') {
    const first = 'The limit and its tolerance are probably passed';
    return before === 0 ? `${first}.` : `${first}; said ${said} before.`;
  }
  const first =
    visit.kind === 'getting-to-know'
      ? `Nobody knows when these were last done; ${visit.day} is proposed.`
      : `The next working day proposed is ${visit.day}.`;
  return before === 0 ? first : `${first} Said ${said} before without an answer.`;
}
