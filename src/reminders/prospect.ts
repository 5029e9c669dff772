import type { MachineFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import type { Foresight } from '../visits/foresight.js';

/** One machine as the reminders see it. */
export interface Prospect {
  readonly machine: Machine;
  readonly facts: MachineFacts;
  /** Null where nothing is known of the hours. */
  readonly foresight: Foresight | null;
  readonly dues: readonly Due[];
  readonly visits: readonly Visit[];
}

/** Whether nothing is to be said about the machine: it is gone, or rests on that day.
 *  Source: common practice, no source. */
export function isSilent(machine: Machine, day: string): boolean {
  const { resting } = machine;
  const rests = resting !== undefined && resting.from <= day && (resting.until === undefined || day <= resting.until);
  return machine.gone || rests;
}
