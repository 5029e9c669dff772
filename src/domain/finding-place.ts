import type { Finding } from './facts.js';

/** Where a finding stands, as the place of a fault names it: task, measurement, where on the machine, and which of the two values.
 *  Pages find the field by it.
 *  Source: common practice, no source. */
export function placeOfFinding(
  { task, measurement, place }: Pick<Finding, 'task' | 'measurement' | 'place'>,
  moment: 'found' | 'left',
): string {
  return [task, measurement, ...(place === null ? [] : [place]), `as ${moment}`].join(', ');
}
