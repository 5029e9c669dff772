import type { Task } from './task.js';

/** A job of fewer minutes that measures is a look. Common practice, no source. */
const lookMinutes = 15;

/** How weighty a task is beside others: fluids (3) before parts (2), both before work of the hands (1), a look last (0).
 *  Source: common practice, no source. */
export function weightOfTask({ fluids, parts, minutes, measure }: Task): number {
  if (fluids.length > 0) return 3;
  if (parts.length > 0) return 2;
  return minutes >= lookMinutes || measure.length === 0 ? 1 : 0;
}
