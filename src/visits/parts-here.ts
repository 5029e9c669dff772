import { type Day, dayNumber, dayOf } from '../domain/day.js';
import type { MachineFacts, SentNotice } from '../domain/facts.js';
import { type Household, hears } from '../domain/household.js';
import type { Due } from '../domain/results/due.js';
import type { ShoppingItem } from '../domain/results/visit.js';
import { isInCycle } from './cycle.js';

/** The days on which `parts` notices told somebody about a task in its present cycle, the first first.
 *  @param due     the task's, for when it was last done
 *  @param person  only notices to them; undefined: to anybody
 *  Source: common practice, no source. */
export function partsToldDays(
  due: Pick<Due, 'task' | 'lastDay'>,
  facts: Pick<MachineFacts, 'sent' | 'records' | 'answers'>,
  household: Pick<Household, 'zone'>,
  person?: string,
): Day[] {
  return partsTold(due, facts, household, person).map((n) => dayOf(n.atMs, household.zone));
}

function partsTold(
  due: Pick<Due, 'task' | 'lastDay'>,
  facts: Pick<MachineFacts, 'sent' | 'records' | 'answers'>,
  household: Pick<Household, 'zone'>,
  person?: string,
): SentNotice[] {
  return facts.sent
    .filter((n) => n.kind === 'parts' && n.tasks.includes(due.task) && (person === undefined || n.to === person))
    .filter((n) => isInCycle(n.atMs, due, facts, household.zone))
    .sort((a, b) => a.atMs - b.atMs);
}

/** The day that the newest `parts` notices named for the work that something is missing for, where the visit stands before it now.
 *  @param items  shopping of the visit
 *  @param dues   of its tasks
 *  @param day    on which the visit stands
 *  @returns the latest of the days named, one notice a task; null where nothing is missing, nothing was told, or none is later
 *  Source: common practice, no source. */
export function cameForwardFrom(
  items: readonly ShoppingItem[],
  dues: readonly Due[],
  facts: Pick<MachineFacts, 'sent' | 'records' | 'answers'>,
  household: Pick<Household, 'zone'>,
  day: Day,
): Day | null {
  const missing = new Set(items.filter((item) => item.toBuy > 0).flatMap((item) => item.tasks));
  const named = dues
    .filter((due) => missing.has(due.task))
    .flatMap((due) => partsTold(due, facts, household).at(-1)?.proposedDay ?? []);
  return (
    named
      .filter((one) => one > day)
      .sort()
      .at(-1) ?? null
  );
}

/** The first day on which everything that is missing can be at hand: ordered on the day its notice went out (or on the
 *  first day on which it can), its lead days, and a day to spare. Where nobody hears of parts, nothing waits for them.
 *  @param items     shopping of the tasks concerned
 *  @param dues      of the tasks concerned
 *  @param orderDay  number of the first day on which an order can still be made
 *  @returns a day number; `orderDay` where nothing is missing
 *  Source: common practice, no source. */
export function partsHereFrom(
  items: readonly ShoppingItem[],
  dues: readonly Due[],
  facts: Pick<MachineFacts, 'sent' | 'records' | 'answers'>,
  household: Pick<Household, 'zone' | 'people'>,
  orderDay: number,
): number {
  if (!household.people.some((person) => hears(person, 'parts'))) return orderDay;
  const ordered = (task: string) => {
    const due = dues.find((d) => d.task === task);
    const told = due === undefined ? undefined : partsToldDays(due, facts, household)[0];
    return told === undefined ? orderDay : dayNumber(told);
  };
  const arrivals = items
    .filter((item) => item.toBuy > 0)
    .map((item) => Math.max(...item.tasks.map(ordered)) + Math.ceil(item.leadDays) + 1);
  return Math.max(orderDay, ...arrivals);
}
