import type { BeforeUse } from './sheet.js';
import type { ShoppingItem } from './visit.js';

/** What one looks for at a machine, to hang up beside it. Every list in the order of the plan, each thing once. */
export interface Label {
  readonly beforeUse: readonly BeforeUse[];
  /** Pressures and torques. */
  readonly settings: readonly { readonly name: string; readonly limits: string }[];
  /** `work` is the title of the task where another one takes a different amount of the same fluid; else null. */
  readonly fluids: readonly {
    readonly name: string;
    readonly quantity: number;
    readonly unit: ShoppingItem['unit'];
    readonly grade: string | null;
    readonly work: string | null;
  }[];
  /** `number` null: not copied from the manual or the old part yet. */
  readonly parts: readonly { readonly name: string; readonly number: string | null }[];
}
