import type { Day } from './day.js';

/** The lowest temperature of one day at home, degrees Celsius. */
export interface Night {
  readonly day: Day;
  readonly celsius: number;
}
