import { type Day, dayOf, type Zone } from './day.js';
import type { AnnouncedVisit, Answer, ServiceRecord } from './facts.js';

/** A visit as it was announced, and whether it was given up since. */
interface StoredVisit extends Omit<AnnouncedVisit, 'state'> {
  readonly isDropped: boolean;
}

/** The visits of one machine as facts.
 *  @param records  of the machine, voided ones left out
 *  @param zone     the household's
 *  Source: common practice, no source. */
export function announcedVisits(
  visits: readonly StoredVisit[],
  records: readonly ServiceRecord[],
  answers: readonly Answer[],
  zone: Zone,
): readonly AnnouncedVisit[] {
  return visits.map((visit) => ({
    id: visit.id,
    tasks: visit.tasks,
    day: visit.day,
    revision: visit.revision,
    announcedAtMs: visit.announcedAtMs,
    state: visitState(visit, dayOf(visit.announcedAtMs, zone), records, answers),
  }));
}

/** Whether a visit is done, dropped or open follows from the records and answers, so that a voided record opens it again.
 *  A task of it is settled by a record of this very visit; by any other record or "leave it out" entered since the
 *  announcement; and by an imported paper record of that day or later. All settled: done, or dropped where nothing of it was.
 *  @param announcedOn  household day of the first announcement
 *  Source: common practice, no source. */
export function visitState(
  visit: StoredVisit,
  announcedOn: Day,
  records: readonly ServiceRecord[],
  answers: readonly Answer[],
): AnnouncedVisit['state'] {
  if (openTasks(visit, announcedOn, records, answers).length > 0) return visit.isDropped ? 'dropped' : 'open';
  const done = tasksDone(visit, announcedOn, records);
  return visit.tasks.some((task) => done.has(task)) ? 'done' : 'dropped';
}

/** The tasks of an announced visit that are neither done nor left out since, by the same rule.
 *  @param announcedOn  household day of the first announcement
 *  @returns            in the order of the visit; [] where all is settled
 *  Source: common practice, no source. */
export function openTasks(
  visit: Pick<AnnouncedVisit, 'id' | 'tasks' | 'announcedAtMs'>,
  announcedOn: Day,
  records: readonly ServiceRecord[],
  answers: readonly Answer[],
): readonly string[] {
  const done = tasksDone(visit, announcedOn, records);
  const leftOut = new Set(
    answers.filter((a) => a.kind === 'leave-out' && a.atMs >= visit.announcedAtMs).flatMap((a) => a.tasks),
  );
  return visit.tasks.filter((task) => !done.has(task) && !leftOut.has(task));
}

type Announced = Pick<AnnouncedVisit, 'id' | 'announcedAtMs'>;

function tasksDone(visit: Announced, announcedOn: Day, records: readonly ServiceRecord[]): ReadonlySet<string> {
  return new Set(records.filter((r) => settles(r, visit, announcedOn)).flatMap((r) => r.tasks));
}

function settles(record: ServiceRecord, visit: Announced, announcedOn: Day): boolean {
  if (record.visit === visit.id) return true;
  return record.door === 'import' ? record.day >= announcedOn : record.enteredAtMs >= visit.announcedAtMs;
}
