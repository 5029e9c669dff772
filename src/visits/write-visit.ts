import { type Day, dayNumbered, earlierDay, startOfDay } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import type { EarlyWork, Visit } from '../domain/results/visit.js';
import { weightOfTask } from '../domain/task-weight.js';
import { minutesOfVisit } from '../domain/visit-minutes.js';
import { nextChanceDays, pulledForwardDays, pulledForwardShare } from './constants.js';
import { chanceBy } from './curve-sum.js';
import { causeOfDay } from './day-cause.js';
import { askedOn } from './earliest-day.js';
import { isLookBegun } from './first-look.js';
import { nameVisit, type OpenVisit } from './open-visits.js';
import { cameForwardFrom } from './parts-here.js';
import { type Candidate, compareDays, type Scene } from './scene.js';
import { accessOf } from './shared-access.js';
import { listPerhaps, listShopping } from './shopping.js';
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
  const lead = announcedLead ?? (kind === 'service' ? leadOf(inOrder, days) : inOrder[0]);
  const leadTask = lead?.task.id ?? '';
  const id = match?.visit.id ?? nameVisit(machine.id, leadTask, lead?.due.cycle ?? 0, scene.taken);
  scene.taken.add(id);
  const day = dayNumbered(dayAt);
  const shopping = listShopping(
    inOrder.map((c) => c.task),
    facts,
    household,
  );
  const perhaps = listPerhaps(
    inOrder.map((c) => c.task),
    facts,
    household,
  );
  const isToBuy = kind === 'service' || isLookBegun(match?.visit.id ?? null, facts);
  const leads = shopping.filter((item) => isToBuy && item.toBuy > 0).map((item) => Math.ceil(item.leadDays));
  const asked = group.map((c) => askedOn(c.due, facts, household)).filter((d) => d !== null);
  const askOn = asked.sort().at(-1) ?? null;
  const dayIndex = days.indexOf(dayAt);
  const early = kind === 'service' ? earlyWork(scene, inOrder, leadTask, dayIndex) : [];
  const due = kind === 'service' ? firstOf(inOrder, day) : { p10: day, p50: day, p90: day };
  const dues = inOrder.map((c) => c.due);
  const forwardFrom = leads.length === 0 ? null : cameForwardFrom(shopping, dues, facts, household, day);
  return {
    id,
    machine: machine.id,
    tasks,
    leadTask,
    pulledForward: early.map(({ task }) => task),
    early,
    day,
    cause: kind === 'service' ? causeOfDay(scene, inOrder, shopping, dayAt, due, askOn) : { kind: 'on-time' },
    due,
    minutes: minutesOfVisit(tasks, machine.tasks, lead?.task.by ?? 'owner', household.setUpMinutes, facts),
    shopping,
    ...(perhaps.length === 0 ? {} : { perhaps }),
    buyBy: leads.length === 0 ? null : dayNumbered(dayAt - Math.max(...leads) - 1),
    ...(forwardFrom === null ? {} : { forwardFrom }),
    revision: match?.visit.revision ?? 0,
    announced: match !== null,
    kind,
    askOn,
    by: lead?.task.by ?? 'owner',
    pLate: kind === 'service' ? Math.max(0, ...group.map((c) => chanceBy(c.due.lateCurve, dayAt))) : 0,
  };
}

/** The task that the visit is for: the soonest, and among those that would come within a week of it the weightiest, so that changing
 *  the oil leads and not the look that is due beside it. */
function leadOf(group: readonly Candidate[], days: readonly number[]): Candidate | undefined {
  const dayOf = ({ best }: Candidate) => days[best] ?? 0;
  const soonest = Math.min(...group.map(dayOf));
  return group
    .filter((candidate) => dayOf(candidate) - soonest <= nextChanceDays)
    .sort(
      (a, b) =>
        weightOfTask(b.task) - weightOfTask(a.task) || a.best - b.best || compareDays(a.due.day?.p50, b.due.day?.p50),
    )[0];
}

/** Tasks that alone would clearly wait longer than the visit's day, and what doing them now saves. */
function earlyWork(scene: Scene, group: readonly Candidate[], leadTask: string, dayIndex: number): EarlyWork[] {
  const { days } = scene;
  const day = days[dayIndex] ?? 0;
  return group.flatMap((c) => {
    const ownDay = days[c.best] ?? 0;
    const extra = (c.costs[dayIndex] ?? 0) - (c.costs[c.best] ?? 0);
    if (c.task.id === leadTask || ownDay - day <= pulledForwardDays || extra < pulledForwardShare) return [];
    const others = new Set(group.flatMap((other) => (other === c ? [] : accessOf(other.task).map(({ key }) => key))));
    const shared = accessOf(c.task).find(({ key }) => others.has(key));
    return [
      {
        task: c.task.id,
        hoursEarly: hoursLeft(scene, c, day),
        ownDay: dayNumbered(ownDay),
        saves: shared?.what ?? null,
      },
    ];
  });
}

/** Hours that its limit is likely to be away at the end of a day; null where hours do not bring it. */
function hoursLeft({ foresight, household }: Scene, { due }: Candidate, day: number): number | null {
  if (due.targetHours === null || foresight === null || (due.limit !== 'hours' && due.limit !== 'break-in'))
    return null;
  const at = startOfDay(dayNumbered(day + 1), household.zone);
  const [likely] = foresight.hoursQuantiles(at, [0.5], due.countedFrom);
  return likely === undefined ? null : Math.max(0, due.targetHours - likely);
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
