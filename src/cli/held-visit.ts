import type { Service } from '../daemon/wire.js';
import { gather } from '../ledger/gather.js';
import { visitUnknown } from './open-home.js';

/** What a visit held, for those who say that it was done. */
export interface HeldVisit {
  readonly visit: { readonly id: string; readonly machine: string; readonly tasks: readonly string[] };
  /** Since when what is asked about stood there: work entered later is this work, entered by another door. */
  readonly seenAtMs: number | undefined;
}

/** A visit by its id: planned now, or announced and since done or moved on, or known only by a record of it.
 *  @throws BadInput naming the visits there are */
export function heldVisit(service: Service, id: string): HeldVisit {
  const planned = service.latest().visits.find((visit) => visit.id === id);
  if (planned !== undefined) return { visit: planned, seenAtMs: service.books.clock.nowMs() };
  for (const { machine, visits, records } of gather(service.books).machines) {
    const announced = visits.find((visit) => visit.id === id);
    if (announced !== undefined) {
      return { visit: { id, machine, tasks: announced.tasks }, seenAtMs: announced.announcedAtMs };
    }
    const tasks = [...new Set(records.filter((r) => r.visit === id).flatMap((r) => r.tasks))];
    if (tasks.length > 0) return { visit: { id, machine, tasks }, seenAtMs: undefined };
  }
  throw visitUnknown(service, id);
}
