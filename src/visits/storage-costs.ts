import { dayNumber } from '../domain/day.js';
import { layUpsOf } from '../domain/lay-up.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { Task } from '../domain/task.js';
import { waitInStorageWeight, yearDays } from './constants.js';
import { leastOf } from './group.js';
import type { Scene } from './scene.js';
import { costOfDays } from './task-cost.js';
import { keepWithinLimit } from './within-limit.js';

/** Whether a task lays the machine up or brings it back.
 *  Source: definition. */
export function isOfStorage(task: Pick<Task, 'id'>, machine: Pick<Machine, 'tasks'>): boolean {
  return layUpsOf(machine.tasks).some(({ into, back }) => back === task.id || into.includes(task.id));
}

/** A task's costs with no day in storage. Work that would fall there waits for the return: each day of waiting costs half of what
 *  giving one away before would, since a machine at rest does not wear; so what comes due soon after laying up is done then.
 *  @param own       one a day, as if it were never laid up
 *  @param earliest  first day allowed
 *  @returns one a day; Infinity in storage
 *  Source: own policy. */
export function outsideStorage(own: readonly number[], due: Due, earliest: number, scene: Scene): readonly number[] {
  const { days } = scene;
  return scene.stored.reduce((costs, { from, until }) => {
    const wish = days[leastOf(costs).index];
    const limit = due.calendarDay === null ? null : dayNumber(due.calendarDay);
    const isWaiting = limit !== null && from <= limit && limit <= until;
    const open = costs.map((cost, i) => {
      const day = days[i] ?? 0;
      return from <= day && day <= until ? Number.POSITIVE_INFINITY : cost;
    });
    if (wish === undefined || (!isWaiting && (wish < from || wish > until))) return open;
    const back = Math.max(earliest, until + 1);
    const after = keepWithinLimit(costOfDays(due, days, back, scene), due, days);
    const met = isWaiting ? limit : wish;
    const waited = (waitInStorageWeight * Math.max(0, until + 1 - met)) / Math.max(1, due.intervalDays ?? yearDays);
    return open.map((cost, i) => ((days[i] ?? 0) > until ? (after[i] ?? cost) + waited : cost));
  }, own);
}
