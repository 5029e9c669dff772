import { dayMs, dayNumber, dayOf, type Zone } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Due } from '../domain/results/due.js';

/** Whether an instant lies in a task's present cycle: after it was last done or left out. On that very day what was entered
 *  decides; without an entry (the configuration says when it was done) the whole day belongs to the new cycle.
 *  @param zone  the household's
 *  Source: definition. */
export function isInCycle(
  atMs: number,
  due: Pick<Due, 'task' | 'lastDay'>,
  facts: Pick<MachineFacts, 'records' | 'answers'>,
  zone: Zone,
): boolean {
  const { task, lastDay } = due;
  if (lastDay === null) return true;
  // Cheap for what is days away, exact beside it: calendar objects are slow.
  const daysAfter = atMs / dayMs - dayNumber(lastDay);
  if (daysAfter > 3) return true;
  if (daysAfter < -3) return false;
  const day = dayOf(atMs, zone);
  if (day !== lastDay) return day > lastDay;
  return (
    facts.records.every((record) => !record.tasks.includes(task) || record.enteredAtMs < atMs) &&
    facts.answers.every((a) => a.kind !== 'leave-out' || !a.tasks.includes(task) || a.atMs < atMs)
  );
}
