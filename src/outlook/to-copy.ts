import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Specification } from '../domain/specification.js';
import { sayLimitsIn } from '../inspection/limits-in-units.js';
import { amountOf } from '../visits/shopping.js';

/** A job with what its plan says of it now, to be held against the machine's own manual. */
export interface JobToCopy {
  readonly task: string;
  readonly parts: readonly { readonly name: string; readonly number: string | null }[];
  readonly fluids: readonly {
    readonly name: string;
    readonly amount: { readonly quantity: number; readonly unit: 'L' | 'kg' | 'pcs' };
    /** What it has to be, and the grades to choose from; in this order, either may be missing. */
    readonly kinds: readonly string[];
  }[];
  readonly limits: readonly { readonly name: string; readonly known: string }[];
}

/** Part numbers, quantities and limits of every job that is done on a machine, as its plan and its file have them.
 *  @throws Fault of sayLimitsIn and amountOf, which a checked plan never raises
 *  Source: common practice, no source. */
export function toCopy(
  { tasks, never }: Pick<Machine, 'tasks' | 'never'>,
  units: Household['units'],
): readonly JobToCopy[] {
  return tasks
    .filter(({ id }) => never[id] === undefined)
    .map(({ id, parts, fluids, measure }) => ({
      task: id,
      parts: parts.map(({ name, number }) => ({ name, number: number === undefined || number === '' ? null : number })),
      fluids: fluids.map((fluid) => ({
        name: fluid.name,
        amount: amountOf(fluid),
        kinds: [fluid.must, ...(fluid.choices ?? []).map(({ grade }) => grade)].filter((text) => text !== undefined),
      })),
      limits: measure
        .filter(({ specification }) => isInManual(specification))
        .map(({ name, specification }) => ({ name, known: sayLimitsIn(specification, units) })),
    }))
    .filter(({ parts, fluids, limits }) => parts.length + fluids.length + limits.length > 0);
}

/** Whether a manual has a value of its own for it: what is looked at or tried out has none to copy. */
function isInManual({ kind }: Specification): boolean {
  return kind !== 'look' && kind !== 'test';
}
