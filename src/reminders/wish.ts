import type { Person } from '../domain/household.js';
import type { Notice } from '../domain/results/notice.js';

/** A notice that one person should get, and how it may go out. */
export interface Wish {
  readonly person: Person;
  readonly notice: Notice;
  /** `start`: it may open a message now; `ride`: only join one that goes out anyway. */
  readonly how: 'start' | 'ride';
}
