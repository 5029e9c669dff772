import type { Service } from '../daemon/wire.js';
import type { Day } from '../domain/day.js';
import type { Visit } from '../domain/results/visit.js';
import type { Errand } from './errands.js';
import type { TrueHours } from './truth/true-hours.js';

/** What one turn of a policy brought. */
interface PolicyTurn {
  /** Letters written to the outbox. */
  readonly posted: number;
  /** Nothing is to be said before this instant unless a fact changes. */
  readonly nextLookMs: number;
  /** The visits that the letters speak of. */
  readonly visits: readonly Visit[];
}

/** What decides what is said. Whichever it is, it posts through the ledger into the outbox of the same service. */
export interface Policy {
  turn(): PolicyTurn;
}

/** What a policy gets to work with. */
export interface Rehearsed {
  readonly service: Service;
  readonly truth: ReadonlyMap<string, TrueHours>;
  readonly from: Day;
  readonly to: Day;
}

/** A policy, and what its way of working brings with it, such as monthly readings. */
export interface PolicyAtWork {
  readonly policy: Policy;
  readonly errands: readonly Errand[];
}

/** The service's own turn. */
export function ourPolicy({ service }: Pick<Rehearsed, 'service'>): PolicyAtWork {
  return {
    policy: {
      turn() {
        const { posted, nextLookMs, outlook } = service.turn();
        return { posted, nextLookMs, visits: outlook.visits };
      },
    },
    errands: [],
  };
}
