import type { Refused } from '../errors.js';

/** What one message did to the state of its feed. */
export type Step<State> =
  | {
      readonly kind: 'counted';
      readonly state: State;
      /** Run time that this message added, milliseconds, >= 0. */
      readonly countedMs: number;
      /** Whether the total or what later counting builds on changed: then it is kept before the message is acknowledged. */
      readonly isChanged: boolean;
    }
  | { readonly kind: 'refused'; readonly refused: Refused };

/** A message that changes nothing but shows that the sensor lives. */
export function unchanged<State>(state: State): Step<State> {
  return { kind: 'counted', state, countedMs: 0, isChanged: false };
}
