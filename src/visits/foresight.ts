import type { CountedFrom } from '../domain/results/due.js';

/** What planning and reminding ask of the hours. Whoever runs the chain answers from the estimate, so that neither knows the
 *  model behind it. */
export interface Foresight {
  /** Hours at an instant, one for each level, ascending.
   *  @param counted  as counted from an instant at which nobody read the meter; null: the meter's own */
  hoursQuantiles(atMs: number, levels: readonly number[], counted: CountedFrom | null): number[];
  /** Chance that the meter stands at `targetHours` or past at `atMs`, as if it were read as `hoursNow` at `nowMs`. */
  pReachedGiven(
    hoursNow: number,
    nowMs: number,
    targetHours: number,
    atMs: number,
    counted: CountedFrom | null,
  ): number;
}
