import { dayNumber, dayOf, type Zone } from '../domain/day.js';
import type { MachineFacts, SentNotice } from '../domain/facts.js';
import type { NoticeKind } from '../domain/household.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { isInCycle } from '../visits/cycle.js';

/** Kinds that ask for the work to be done. */
export const callsToWork: readonly NoticeKind[] = ['work', 'season', 'late'];

/** Notices about a visit in its present cycle, oldest first: by its id, or about its lead task since that was last done.
 *  @param lead   the lead task's due; undefined: by id alone
 *  @param kinds  only these
 *  Source: common practice, no source. */
export function saidAbout(
  visit: Pick<Visit, 'id' | 'leadTask'>,
  lead: Pick<Due, 'task' | 'lastDay'> | undefined,
  facts: Pick<MachineFacts, 'sent' | 'records' | 'answers'>,
  kinds: readonly NoticeKind[],
  zone: Zone,
): SentNotice[] {
  return facts.sent
    .filter((notice) => {
      if (!kinds.includes(notice.kind)) return false;
      if (notice.visit === visit.id) return true;
      if (lead === undefined || !notice.tasks.includes(visit.leadTask)) return false;
      return isInCycle(notice.atMs, lead, facts, zone);
    })
    .sort((a, b) => a.atMs - b.atMs);
}

/** Number of the household's day on which a notice went out.
 *  Source: definition. */
export function dayNumberOf(atMs: number, zone: Zone): number {
  return dayNumber(dayOf(atMs, zone));
}

/** Whether anybody read the meter after an instant.
 *  Source: definition. */
export function hasReadingSince(facts: Pick<MachineFacts, 'readings'>, atMs: number): boolean {
  return facts.readings.some((reading) => reading.atMs > atMs);
}

/** How often something was said since the meter was last read, by days: what is said to two people at once is said once.
 *  Source: definition. */
export function timesUnanswered(
  notices: readonly SentNotice[],
  facts: Pick<MachineFacts, 'readings'>,
  zone: Zone,
): number {
  const open = notices.filter(({ atMs }) => !hasReadingSince(facts, atMs));
  return new Set(open.map(({ atMs }) => dayNumberOf(atMs, zone))).size;
}

/** Days until something that nobody answers is said again: twice as long each time, up to eight times the first.
 *  @param times  how often it was said in vain; 0 is as 1
 *  Source: common practice, no source. */
export function grownGapDays(firstDays: number, times: number): number {
  return firstDays * 2 ** Math.min(Math.max(0, times - 1), 3);
}
