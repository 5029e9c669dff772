import type { Day } from '../../domain/day.js';
import type { Store } from '../open.js';
import { day, number, text, texts } from '../row.js';
import type { Row } from '../sql.js';
import { type ByMachine, ofMachines, rowsByMachine } from './by-machine.js';

/** A visit as announced: its newest revision. Whether it is done follows from the records. */
export interface StoredVisit {
  readonly id: string;
  readonly machine: string;
  readonly tasks: readonly string[];
  readonly day: Day;
  readonly revision: number;
  readonly announcedAtMs: number;
  readonly isDropped: boolean;
}

/** One revision of a visit: what was announced when. */
export interface VisitRevision {
  readonly revision: number;
  readonly tasks: readonly string[];
  readonly day: Day;
  readonly atMs: number;
}

/** Keeps a visit from the first time that it is announced.
 *  @throws Fault of the store where the id is taken */
export function addVisit(store: Store, id: string, machine: string, announcedAtMs: number): void {
  store.sql.run('INSERT INTO visits (id, machine, announced_at_ms) VALUES (:id, :machine, :announcedAtMs)', {
    id,
    machine,
    announcedAtMs,
  });
}

/** Keeps how a visit stands from now on.
 *  @throws Fault of the store where the visit has that revision already */
export function addVisitRevision(store: Store, visit: string, revision: VisitRevision): void {
  store.sql.run(
    `INSERT INTO visit_revisions (visit, revision, tasks, day, at_ms) VALUES (:visit, :revision, :tasks, :day, :atMs)`,
    {
      visit,
      revision: revision.revision,
      tasks: JSON.stringify(revision.tasks),
      day: revision.day,
      atMs: revision.atMs,
    },
  );
}

/** Its tasks went into other visits. A later revision opens it again. */
export function dropVisit(store: Store, visit: string, revision: number, atMs: number): void {
  store.sql.run(
    `UPDATE visit_revisions SET dropped_at_ms = :atMs
     WHERE visit = :visit AND revision = :revision AND dropped_at_ms IS NULL`,
    { visit, revision, atMs },
  );
}

/** A visit as its newest revision has it; null where it was never announced. */
export function findVisit(store: Store, id: string): StoredVisit | null {
  const row = store.sql.row(`${newestRevision} WHERE visits.id = :id`, { id });
  return row === null ? null : visitOf(row);
}

/** All revisions of a visit, oldest first; empty where it was never announced. */
export function revisionsOf(store: Store, visit: string): readonly VisitRevision[] {
  return store.sql
    .rows('SELECT revision, tasks, day, at_ms FROM visit_revisions WHERE visit = :visit ORDER BY revision', { visit })
    .map((row) => ({
      revision: number(row, 'revision'),
      tasks: texts(row, 'tasks'),
      day: day(row, 'day'),
      atMs: number(row, 'at_ms'),
    }));
}

/** Visits that were announced, each as its newest revision has it, in the order in which they were. */
export function visitsOf(store: Store, machines: readonly string[]): ByMachine<StoredVisit> {
  return rowsByMachine(
    store.sql,
    `${newestRevision} WHERE ${ofMachines} ORDER BY machine, announced_at_ms, visits.id`,
    machines,
    visitOf,
  );
}

const newestRevision = `SELECT visits.id, machine, announced_at_ms, tasks, day, revision, dropped_at_ms
  FROM visits JOIN visit_revisions ON visit = visits.id
    AND revision = (SELECT max(revision) FROM visit_revisions WHERE visit = visits.id)`;

function visitOf(row: Row): StoredVisit {
  return {
    id: text(row, 'id'),
    machine: text(row, 'machine'),
    tasks: texts(row, 'tasks'),
    day: day(row, 'day'),
    revision: number(row, 'revision'),
    announcedAtMs: number(row, 'announced_at_ms'),
    isDropped: row.dropped_at_ms !== null,
  };
}
