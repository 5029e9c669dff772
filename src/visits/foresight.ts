/** What planning and reminding ask of the hours. Whoever runs the chain answers from the estimate, so that neither knows the
 *  model behind it. */
export interface Foresight {
  /** Hours at an instant, one for each level, ascending. */
  hoursQuantiles(atMs: number, levels: readonly number[]): number[];
  /** Chance that the meter stands at `targetHours` or past at `atMs`, as if it were read as `hoursNow` at `nowMs`. */
  pReachedGiven(hoursNow: number, nowMs: number, targetHours: number, atMs: number): number;
}
