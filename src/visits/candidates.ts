import { dayNumber, dayNumbered } from '../domain/day.js';
import type { Due } from '../domain/results/due.js';
import type { Task } from '../domain/task.js';
import { horizonDays } from './constants.js';
import { askedOn } from './earliest-day.js';
import { leastOf } from './group.js';
import { partsHereFrom } from './parts-here.js';
import { type Candidate, compareDays, isInRest, type Scene } from './scene.js';
import { listShopping } from './shopping.js';
import { isOfStorage, outsideStorage } from './storage-costs.js';
import { costOfDays } from './task-cost.js';
import { keepWithinLimit } from './within-limit.js';

/** Tasks with a due date within the horizon and a day on which they can be done, in the order of their own best days. What
 *  would fall into the machine's rest comes after it.
 *  Source: costs as in `costOfDays`. */
export function findCandidates(scene: Scene, by: Task['by']): Candidate[] {
  const { machine, dues, today } = scene;
  const latest = dayNumbered(today + horizonDays);
  const byId = new Map(machine.tasks.map((task) => [task.id, task]));
  return dues
    .flatMap((due) => {
      const task = byId.get(due.task);
      if (task === undefined || task.by !== by || due.unknownLast || due.limit === 'use') return [];
      if (due.day === null || due.curve === null || due.day.p50 > latest) return [];
      const costs = costsOf(scene, task, due);
      const { index } = leastOf(costs);
      return index < 0 ? [] : [{ task, due, costs, best: index }];
    })
    .sort((a, b) => a.best - b.best || compareDays(a.due.day?.p50, b.due.day?.p50));
}

function costsOf(scene: Scene, task: Task, due: Due): readonly number[] {
  const { days, rest, fixed } = scene;
  const earliest = earliestFor(scene, task, due);
  const stands = fixed.get(task.id);
  if (stands !== undefined && stands >= earliest) {
    return days.map((day) => (day === stands ? 0 : Number.POSITIVE_INFINITY));
  }
  const own = keepWithinLimit(costOfDays(due, days, earliest, scene), due, days);
  const costs = isOfStorage(task, scene.machine) ? own : outsideStorage(own, due, earliest, scene);
  const wish = days[leastOf(costs).index];
  if (rest === null || wish === undefined) return costs;
  const outside = isInRest(wish, rest) ? costOfDays(due, days, Math.max(earliest, rest.until + 1), scene) : costs;
  return outside.map((cost, i) => (isInRest(days[i] ?? 0, rest) ? Number.POSITIVE_INFINITY : cost));
}

/** First day number on which a task can be proposed: today only in the morning, or where it was announced for today. */
function earliestFor(scene: Scene, task: Task, due: Due): number {
  const { facts, household, today } = scene;
  const announced = scene.open.find((open) => open.tasks.includes(task.id))?.visit.day;
  const announcedDay = announced === undefined ? null : dayNumber(announced);
  const todayWillDo = announcedDay === today || (scene.morning && (announcedDay === null || announcedDay > today));
  const here = partsHereFrom(listShopping([task], facts, household), [due], facts, household, scene.orderDay);
  const asked = askedOn(due, facts, household);
  return Math.max(todayWillDo ? today : today + 1, here, asked === null ? 0 : dayNumber(asked));
}
