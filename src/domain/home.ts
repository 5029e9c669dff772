import type { Household } from './household.js';
import type { Machine } from './machine.js';

/** The home folder, read, checked and resolved. */
export interface Home {
  readonly household: Household;
  /** In the order of their file names. */
  readonly machines: readonly Machine[];
}
