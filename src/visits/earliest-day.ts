import { type Day, dayNumber, dayOf } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';

/** A machine's rest in day numbers, both included; `until` is Infinity where its end is open. */
export interface Rest {
  readonly from: number;
  readonly until: number;
}

/** The rest that lasts or is still to come; null where there is none.
 *  Source: common practice, no source. */
export function restAhead(machine: Pick<Machine, 'resting'>, today: number): Rest | null {
  if (machine.resting === undefined) return null;
  const until = machine.resting.until === undefined ? Number.POSITIVE_INFINITY : dayNumber(machine.resting.until);
  return until < today ? null : { from: dayNumber(machine.resting.from), until };
}

/** The day until which a person asked to be left alone about a task: the latest "ask me on", unless it was done or left out
 *  since; null where nobody asked.
 *  Source: common practice, no source. */
export function askedOn(
  due: Pick<Due, 'task' | 'lastDay'>,
  facts: Pick<MachineFacts, 'answers' | 'records'>,
  household: Pick<Household, 'zone'>,
): Day | null {
  const answers = facts.answers
    .filter((answer) => answer.kind === 'ask-on' && answer.tasks.includes(due.task))
    .sort((a, b) => b.atMs - a.atMs);
  const latest = answers[0];
  if (latest === undefined || latest.kind !== 'ask-on') return null;
  const doneSince =
    (due.lastDay !== null && due.lastDay > dayOf(latest.atMs, household.zone)) ||
    facts.records.some((record) => record.tasks.includes(due.task) && record.enteredAtMs > latest.atMs) ||
    facts.answers.some((a) => a.kind === 'leave-out' && a.tasks.includes(due.task) && a.atMs > latest.atMs);
  return doneSince ? null : latest.day;
}
