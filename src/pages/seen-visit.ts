import { dayOf } from '../domain/day.js';
import type { AnnouncedVisit, ServiceRecord } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import type { Visit } from '../domain/results/visit.js';
import { openTasks } from '../domain/visit-state.js';
import { pageFault } from './errors.js';
import type { Given } from './given.js';
import { type Shown, showMachine } from './shown.js';

/** How a visit that an address names stands now. */
export type SeenVisit =
  | {
      readonly kind: 'planned';
      readonly shown: Shown;
      readonly visit: Visit;
      readonly records: readonly ServiceRecord[];
    }
  /** No longer planned under this id, with work on record. `rest`: what it was announced with and nobody did or left out. */
  | {
      readonly kind: 'partly';
      readonly shown: Shown;
      readonly announced: AnnouncedVisit;
      readonly records: readonly ServiceRecord[];
      readonly rest: readonly string[];
    }
  /** `isWhole`: all that it was announced with; what one that was never announced held is not known. */
  | {
      readonly kind: 'done';
      readonly shown: Shown;
      readonly records: readonly ServiceRecord[];
      readonly isWhole: boolean;
    }
  /** Announced once, and no longer in the plan: its tasks went elsewhere or its record was for other ones. */
  | { readonly kind: 'dropped'; readonly shown: Shown; readonly announced: AnnouncedVisit };

/** The visit with this id: planned, on record, or announced once.
 *  @throws Fault visit-unknown */
export function seeVisit(given: Given, id: string): SeenVisit {
  const planned = given.latest().visits.find((visit) => visit.id === id);
  const facts = given
    .facts()
    .machines.find(
      (one) =>
        one.machine === planned?.machine ||
        one.records.some((r) => r.visit === id) ||
        one.visits.some((v) => v.id === id),
    );
  const machine = planned?.machine ?? facts?.machine;
  if (machine === undefined) throw visitUnknown();
  const shown = showMachine(given, machine);
  const records = shown.facts.records.filter((record) => record.visit === id);
  if (planned !== undefined) return { kind: 'planned', shown, visit: planned, records };
  const announced = shown.facts.visits.find((visit) => visit.id === id);
  if (records.length > 0) {
    if (announced === undefined) return { kind: 'done', shown, records, isWhole: false };
    const announcedOn = dayOf(announced.announcedAtMs, shown.household.zone);
    const rest = openTasks(announced, announcedOn, shown.facts.records, shown.facts.answers);
    return rest.length === 0
      ? { kind: 'done', shown, records, isWhole: true }
      : { kind: 'partly', shown, announced, records, rest };
  }
  if (announced === undefined) throw visitUnknown();
  return { kind: 'dropped', shown, announced };
}

function visitUnknown(): Fault {
  return pageFault({
    code: 'visit-unknown',
    message: 'This visit is not planned and not on record',
    remedy: 'It may have been taken over by another one: look at the months ahead.',
  });
}
