import type { Day } from '../domain/day.js';
import type { AnnouncedVisit } from '../domain/facts.js';
import type { Notice } from '../domain/results/notice.js';
import type { Outlook } from '../domain/results/outlook.js';
import { announcedVisits } from '../domain/visit-state.js';
import { answersOf } from '../store/facts/answers.js';
import { recordsOf } from '../store/facts/records.js';
import { addVisit, addVisitRevision, dropVisit, findVisit, revisionsOf, visitsOf } from '../store/facts/visits.js';
import type { Books } from './books.js';

/** Writes down what a notice announces: the visit at its first notice, a further revision where its tasks or its day changed. Inside a transaction. */
export function announceVisit(books: Books, outlook: Outlook, id: string, notice: Notice): void {
  const { store } = books;
  const nowMs = books.clock.nowMs();
  const planned = outlook.visits.find((v) => v.id === id);
  const tasks = planned?.tasks ?? notice.tasks;
  const day = planned?.day ?? notice.proposedDay ?? outlook.today;
  const stored = findVisit(store, id);
  if (stored === null) {
    addVisit(store, id, planned?.machine ?? notice.machine ?? '', nowMs);
    addVisitRevision(store, id, { revision: 1, tasks, day, atMs: nowMs });
    return;
  }
  if (!stored.isDropped && stored.day === day && sameTasks(stored.tasks, tasks)) return;
  addVisitRevision(store, id, { revision: stored.revision + 1, tasks, day, atMs: nowMs });
}

/** What a visit held, and its day, when a letter about it was written: its newest revision of then.
 *  @returns null where it was not announced by then */
export function visitAsAnnounced(
  { store }: Books,
  id: string,
  atMs: number,
): { readonly tasks: readonly string[]; readonly day: Day } | null {
  return revisionsOf(store, id).findLast((revision) => revision.atMs <= atMs) ?? null;
}

/** Whether everything of a visit was done or left out since the look ahead: then there is nothing more to say about it. */
export function isSettled(books: Books, visit: string | null): boolean {
  if (visit === null) return false;
  const stored = findVisit(books.store, visit);
  if (stored === null) return false;
  const state = visitsAnnounced(books, [stored.machine])
    .flat()
    .find((v) => v.id === visit)?.state;
  return state === 'done' || (state === 'dropped' && !stored.isDropped);
}

/** Drops visits that the planning no longer holds because every task of theirs is in another announced visit. Inside a transaction. */
export function dropStaleVisits(books: Books, outlook: Outlook): void {
  const { store } = books;
  const planned = new Set(outlook.visits.map((v) => v.id));
  for (const visits of visitsAnnounced(
    books,
    outlook.machines.map((m) => m.machine),
  )) {
    const open = visits.filter((visit) => visit.state === 'open');
    const elsewhere = new Set(open.filter((visit) => planned.has(visit.id)).flatMap((visit) => visit.tasks));
    for (const visit of open) {
      if (planned.has(visit.id) || !visit.tasks.every((task) => elsewhere.has(task))) continue;
      dropVisit(store, visit.id, visit.revision, books.clock.nowMs());
    }
  }
}

function visitsAnnounced(books: Books, machines: readonly string[]): readonly (readonly AnnouncedVisit[])[] {
  const { store } = books;
  const { zone } = books.home().household;
  const visits = visitsOf(store, machines);
  const records = recordsOf(store, machines);
  const answers = answersOf(store, machines);
  return machines.map((id) =>
    announcedVisits(visits.get(id) ?? [], records.get(id) ?? [], answers.get(id) ?? [], zone),
  );
}

function sameTasks(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && [...a].sort().join('\n') === [...b].sort().join('\n');
}
