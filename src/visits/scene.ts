import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { Task } from '../domain/task.js';
import type { Stored } from '../forecast/in-storage.js';
import type { Rest } from './earliest-day.js';
import type { Foresight } from './foresight.js';
import type { OpenVisit } from './open-visits.js';

/** One task with what every candidate day costs. */
export interface Candidate {
  readonly task: Task;
  readonly due: Due;
  /** One a candidate day; Infinity where it cannot be. */
  readonly costs: readonly number[];
  /** Index of its own best day. */
  readonly best: number;
}

/** Everything about the machine and the moment that planning asks for. */
export interface Scene {
  readonly machine: Machine;
  readonly facts: MachineFacts;
  readonly dues: readonly Due[];
  readonly household: Household;
  readonly nowMs: number;
  readonly today: number;
  readonly foresight: Foresight | null;
  /** Candidate working days, ascending; rest days among them. */
  readonly days: readonly number[];
  readonly rest: Rest | null;
  /** In storage from the day after a visit lays it up to the day before another brings it back: nothing is proposed there. */
  readonly stored: readonly Stored[];
  /** Day of each task that lays it up or brings it back, where it stands fast already. */
  readonly fixed: ReadonlyMap<string, number>;
  readonly open: readonly OpenVisit[];
  /** Whether today can still be proposed for what was not announced. */
  readonly morning: boolean;
  /** First day on which an order can be made, since a machine at rest makes no noise. */
  readonly orderDay: number;
  /** Ids that are used up. */
  readonly taken: Set<string>;
}

/** Whether a day, by its number, lies in the machine's rest.
 *  Source: definition. */
export function isInRest(day: number, rest: Rest | null): boolean {
  return rest !== null && rest.from <= day && day <= rest.until;
}

/** Whether a day, by its number, is one on which nobody works on the machine: it rests, or lies in storage.
 *  Source: definition. */
export function isAway(day: number, scene: Pick<Scene, 'rest' | 'stored'>): boolean {
  return isInRest(day, scene.rest) || scene.stored.some(({ from, until }) => from <= day && day <= until);
}

/** Order of two days: negative where the first is earlier; a missing day comes first.
 *  Source: definition. */
export function compareDays(a: string | undefined, b: string | undefined): number {
  const [first, second] = [a ?? '', b ?? ''];
  return first < second ? -1 : first > second ? 1 : 0;
}
