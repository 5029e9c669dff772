import type { UsedUp } from '../domain/used-up.js';
import { oneLine } from './sentence.js';

/** Parts and fluids in one line: `Oil filter, 1 (no. 12-34); Engine oil, 1.4 L (has to meet …)`.
 *  @returns  empty where nothing is used up
 *  Source: common practice, no source. */
export function sayUsedUp(used: readonly UsedUp[]): string {
  return used
    .map(({ name, amount, number, must, kind }) => {
      const about = [
        kind ?? null,
        number === null ? null : `no. ${number}`,
        must === null ? null : `has to meet ${must}`,
      ]
        .filter((part) => part !== null)
        .join(', ');
      return oneLine(`${name}, ${amount}${about === '' ? '' : ` (${about})`}`);
    })
    .join('; ');
}
