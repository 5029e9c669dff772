import type { Machine } from '../domain/machine.js';
import { hoursQuantiles } from '../hours/at.js';
import { estimateHours } from '../hours/estimate.js';
import { gatherEvidence } from '../hours/evidence.js';
import type { OtherMachine } from '../hours/likely-slip.js';
import type { Books } from './books.js';
import { factsOf } from './machine-facts.js';

/** The meters that somebody who reads one machine's may have read instead, with their hours at the instant.
 *  @returns without machines that are gone, and those of which nothing is known */
export function otherMeters(books: Books, machine: Machine, atMs: number): OtherMachine[] {
  const { household, machines } = books.home();
  const others = machines.filter(({ id, meter, gone }) => id !== machine.id && meter.kind === 'meter' && !gone);
  const known = factsOf(
    books.store,
    others.map(({ id }) => id),
    household.zone,
  );
  return others.flatMap((other): OtherMachine[] => {
    const facts = known.find((one) => one.machine === other.id);
    const nowMs = books.clock.nowMs();
    const estimate =
      facts === undefined ? null : estimateHours(gatherEvidence(other, facts, household.hemisphere), nowMs);
    if (estimate === null) return [];
    const [p10 = 0, p50 = p10, p90 = p50] = hoursQuantiles(estimate, atMs, [0.1, 0.5, 0.9]);
    return [{ name: other.name, hoursNow: { p10, p50, p90 } }];
  });
}
