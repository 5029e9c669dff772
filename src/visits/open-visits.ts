import { dayOf, type Zone } from '../domain/day.js';
import type { AnnouncedVisit, MachineFacts } from '../domain/facts.js';
import type { Due } from '../domain/results/due.js';
import { openTasks } from '../domain/visit-state.js';

/** An announced visit that still waits for some of its tasks. */
export interface OpenVisit {
  readonly visit: AnnouncedVisit;
  /** Its tasks that are neither done nor left out since it was announced. */
  readonly tasks: readonly string[];
  /** The task its id is made of; null where the id has another shape. */
  readonly leadTask: string | null;
}

/** The announced visits that still wait for something, oldest first.
 *  @param dues  of the machine, one a task; a task without one is no longer in the plan
 *  @param zone  the household's
 *  Source: common practice, no source. */
export function findOpenVisits(facts: MachineFacts, dues: readonly Due[], zone: Zone): OpenVisit[] {
  const dueOf = new Map(dues.map((due) => [due.task, due]));
  return facts.visits
    .filter((visit) => visit.state === 'open')
    .map((visit) => {
      const announcedOn = dayOf(visit.announcedAtMs, zone);
      return {
        visit,
        tasks: openTasks(visit, announcedOn, facts.records, facts.answers).filter((task) => {
          const due = dueOf.get(task);
          // Work that counts as the task's settles it too; the due date knows of it.
          return due !== undefined && (due.lastDay === null || due.lastDay <= announcedOn);
        }),
        leadTask: leadTaskOf(visit.id, facts.machine, visit.tasks),
      };
    })
    .filter((open) => open.tasks.length > 0);
}

/** Hands the ids of open visits to groups of tasks: to the group that holds the visit's lead task, or else most of its
 *  tasks. Each id goes to one group at most, each group takes one at most; the larger overlap first.
 *  @param groups  tasks of each group
 *  @returns one open visit a group, or null
 *  Source: common practice, no source. */
export function matchOpenVisits(
  groups: readonly (readonly string[])[],
  open: readonly OpenVisit[],
): (OpenVisit | null)[] {
  const pairs = groups.flatMap((tasks, group) =>
    open.flatMap((candidate) => {
      const shared = candidate.tasks.filter((task) => tasks.includes(task)).length;
      const hasLead =
        candidate.leadTask !== null &&
        candidate.tasks.includes(candidate.leadTask) &&
        tasks.includes(candidate.leadTask);
      return hasLead || shared * 2 > candidate.tasks.length
        ? [{ group, candidate, worth: shared + (hasLead ? 1000 : 0) }]
        : [];
    }),
  );
  pairs.sort((a, b) => b.worth - a.worth || a.candidate.visit.announcedAtMs - b.candidate.visit.announcedAtMs);
  const matched: (OpenVisit | null)[] = groups.map(() => null);
  const given = new Set<string>();
  for (const { group, candidate } of pairs) {
    if (matched[group] !== null || given.has(candidate.visit.id)) continue;
    matched[group] = candidate;
    given.add(candidate.visit.id);
  }
  return matched;
}

/** The id of a visit not yet announced: machine, lead task and the cycle it begins, so that every look gives the same; a
 *  number behind it where that id is used up.
 *  @param taken  ids that were announced or are planned already
 *  Source: common practice, no source. */
export function nameVisit(machine: string, leadTask: string, cycle: number, taken: ReadonlySet<string>): string {
  const id = `${machine}-${leadTask}-${cycle + 1}`;
  for (let count = 1; ; count++) {
    const candidate = count === 1 ? id : `${id}-${count}`;
    if (!taken.has(candidate)) return candidate;
  }
}

/** The task whose name an id carries, the longest where several fit. */
function leadTaskOf(id: string, machine: string, tasks: readonly string[]): string | null {
  const fits = tasks.filter((task) => {
    const start = `${machine}-${task}-`;
    return id.startsWith(start) && /^\d+(-\d+)?$/.test(id.slice(start.length));
  });
  return fits.sort((a, b) => b.length - a.length)[0] ?? null;
}
