import { dayMs, hourMs } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import { hears, type Person } from '../domain/household.js';
import type { Ill } from '../domain/ill.js';
import type { Moment } from './speaking-times.js';
import type { Wish } from './wish.js';

/** A trouble that mends itself within this time (a router that starts anew, a file saved twice) is not worth a word.
 *  Common practice, no source. */
const troubleFromMs = 3 * hourMs;
/** Told again after so many days while it lasts: once, then rarely. Common practice, no source. */
const againDays = [14, 30, 90] as const;

/** `trouble` notices: in an evening, one a person for all that is wrong with the service and not told of lately. Each trouble is
 *  told once it has lasted some hours, again after two weeks, after another month, then every three months.
 *  @param sent  notices about no machine, that are already out
 *  Source: common practice, no source. */
export function wishTrouble(
  ills: readonly Ill[],
  sent: readonly SentNotice[],
  people: readonly Person[],
  moment: Moment,
): Wish[] {
  if (moment.eveningOf === null) return [];
  return people
    .filter((person) => hears(person, 'trouble'))
    .flatMap((person): Wish[] => {
      const untold = ills.filter((ill) => isToBeTold(ill, sent, person.id, moment.nowMs));
      const [first] = untold;
      if (first === undefined) return [];
      const notice = {
        kind: 'trouble' as const,
        to: person.id,
        machine: null,
        visit: null,
        tasks: untold.map(({ key }) => key),
        proposedDay: null,
        because: first.sentence,
      };
      return [{ person, notice, how: 'start' }];
    });
}

function isToBeTold(ill: Ill, sent: readonly SentNotice[], to: string, nowMs: number): boolean {
  if (nowMs - ill.sinceMs < troubleFromMs) return false;
  const told = sent
    .filter((notice) => notice.kind === 'trouble' && notice.to === to && notice.tasks.includes(ill.key))
    .map(({ atMs }) => atMs)
    .sort((a, b) => a - b);
  const last = told.at(-1);
  if (last === undefined) return true;
  return nowMs - last >= (againDays[Math.min(told.length, againDays.length) - 1] ?? 14) * dayMs - hourMs;
}
