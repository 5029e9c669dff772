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
