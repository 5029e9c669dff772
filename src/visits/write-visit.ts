import { type Day, dayNumbered, earlierDay } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { minutesOfVisit } from '../domain/visit-minutes.js';
import { pulledForwardDays, pulledForwardShare } from './constants.js';
import { chanceBy } from './curve-sum.js';
import { causeOfDay } from './day-cause.js';
import { askedOn } from './earliest-day.js';
import { isLookBegun } from './first-look.js';
import { nameVisit, type OpenVisit } from './open-visits.js';
import { type Candidate, compareDays, type Scene } from './scene.js';
import { listShopping } from './shopping.js';
import { orderAsPlanned } from './task-order.js';

/** A visit from its group of tasks and its day, with shopping, minutes and doubt; takes its id out of those that are free.
 *  @param group  at least one task
 *  @param match  the announced visit whose id it keeps; null: a new id
 *  @param dayAt  number of its day
 *  Source: common practice, no source. */
export function writeVisit(
  scene: Scene,
  group: readonly Candidate[],
  match: OpenVisit | null,
  dayAt: number,
  kind: Visit['kind'],
): Visit {
  const { machine, facts, household, days } = scene;
  const tasks = orderAsPlanned(
    group.map((c) => c.task.id),
    machine.tasks,
  );
  const inOrder = tasks.flatMap((id) => group.find((c) => c.task.id === id) ?? []);
  const announcedLead = inOrder.find((c) => c.task.id === match?.leadTask);
  const lead = announcedLead ?? (kind === 'service' ? soonestOf(inOrder) : inOrder[0]);
  const leadTask = lead?.task.id ?? '';
  const id = match?.visit.id ?? nameVisit(machine.id, leadTask, lead?.due.cycle ?? 0, scene.taken);
  scene.taken.add(id);
  const day = dayNumbered(dayAt);
  const shopping = listShopping(
    inOrder.map((c) => c.task),
    facts,
    household,
  );
  const isToBuy = kind === 'service' || isLookBegun(match?.visit.id ?? null, facts);
  const leads = shopping.filter((item) => isToBuy && item.toBuy > 0).map((item) => Math.ceil(item.leadDays));
  const asked = group.map((c) => askedOn(c.due, facts, household)).filter((d) => d !== null);
  const askOn = asked.sort().at(-1) ?? null;
  const dayIndex = days.indexOf(dayAt);
  const due = kind === 'service' ? firstOf(inOrder, day) : { p10: day, p50: day, p90: day };
  return {
    id,
    machine: machine.id,
    tasks,
    leadTask,
    pulledForward: kind === 'service' ? pulledForward(inOrder, leadTask, dayIndex, days) : [],
    day,
    cause: kind === 'service' ? causeOfDay(scene, inOrder, shopping, dayAt, due, askOn) : { kind: 'on-time' },
    due,
    minutes: minutesOfVisit(tasks, machine.tasks, lead?.task.by ?? 'owner', household.setUpMinutes),
    shopping,
    buyBy: leads.length === 0 ? null : dayNumbered(dayAt - Math.max(...leads) - 1),
    revision: match?.visit.revision ?? 0,
    announced: match !== null,
    kind,
    askOn,
    by: lead?.task.by ?? 'owner',
    pLate: kind === 'service' ? Math.max(0, ...group.map((c) => chanceBy(c.due.lateCurve, dayAt))) : 0,
  };
}

function soonestOf(group: readonly Candidate[]): Candidate | undefined {
  return [...group].sort((a, b) => a.best - b.best || compareDays(a.due.day?.p50, b.due.day?.p50))[0];
}

/** Tasks that alone would clearly wait longer than the visit's day. */
function pulledForward(
  group: readonly Candidate[],
  leadTask: string,
  dayIndex: number,
  days: readonly number[],
): string[] {
  return group
    .filter((c) => {
      const ownDay = days[c.best] ?? 0;
      const extra = (c.costs[dayIndex] ?? 0) - (c.costs[c.best] ?? 0);
      return (
        c.task.id !== leadTask && ownDay - (days[dayIndex] ?? 0) > pulledForwardDays && extra >= pulledForwardShare
      );
    })
    .map((c) => c.task.id);
}

/** The first of several limits that move together (they share the machine's hours): quantile by quantile the earliest. */
function firstOf(group: readonly Candidate[], otherwise: Day): Spread<Day> {
  const spreads = group.map((c) => c.due.day).filter((day) => day !== null);
  const [first, ...rest] = spreads;
  if (first === undefined) return { p10: otherwise, p50: otherwise, p90: otherwise };
  return rest.reduce(
    (soonest, spread) => ({
      p10: earlierDay(soonest.p10, spread.p10),
      p50: earlierDay(soonest.p50, spread.p50),
      p90: earlierDay(soonest.p90, spread.p90),
    }),
    first,
  );
}
