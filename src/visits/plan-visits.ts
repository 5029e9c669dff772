import { type Day, dayNumber, dayNumbered, dayOf, earlierDay, timeOfDayAt } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due, Spread } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import {
  gettingToKnowDays,
  horizonDays,
  keepDayMargin,
  keepGroupMargin,
  morningEnds,
  overhangDays,
  pulledForwardDays,
  pulledForwardShare,
  setUpMinutesPerInterval,
} from './constants.js';
import { askedOn, type Rest, restAhead } from './earliest-day.js';
import { groupBundles, leastOf, totalCost } from './group-tasks.js';
import { findOpenVisits, matchOpenVisits, nameVisit, type OpenVisit } from './open-visits.js';
import { partsHereFrom } from './parts-here.js';
import { listShopping } from './shopping.js';
import { chanceBy, costOfDays } from './task-cost.js';
import { orderAsPlanned } from './task-order.js';
import { workingDayNumbers } from './working-days.js';

/** One task with what every candidate day costs. */
interface Candidate {
  readonly task: Task;
  readonly due: Due;
  /** One a candidate day; Infinity where it cannot be. */
  readonly costs: readonly number[];
  /** Index of its own best day. */
  readonly best: number;
}

/** Everything about the machine and the moment that planning asks for. */
interface Scene {
  readonly machine: Machine;
  readonly facts: MachineFacts;
  readonly dues: readonly Due[];
  readonly household: Household;
  readonly today: number;
  /** Candidate working days, ascending; rest days among them. */
  readonly days: readonly number[];
  readonly rest: Rest | null;
  readonly open: readonly OpenVisit[];
  /** Whether today can still be proposed for what was not announced. */
  readonly morning: boolean;
  /** First day on which an order can be made, since a machine at rest makes no noise. */
  readonly orderDay: number;
  /** Ids that are used up. */
  readonly taken: Set<string>;
}

/** Visits of one machine: tasks that are worth doing together, each visit on the working day of least expected cost, with
 *  what must be bought by when. Announced visits keep their id, and their day and company unless others are clearly better.
 *  Tasks nobody knows the past of make one visit for getting to know the machine, soon, never late.
 *  @param machine    gone: no visits; at rest: what falls into the rest comes after it
 *  @param facts      of this machine
 *  @param dues       one a task, from forecast/due
 *  @param household  working days, days off, set-up minutes, people
 *  @param nowMs      UTC milliseconds
 *  @returns soonest first; a task due within two years stands in exactly one, later ones in none; [] without dues
 *  @throws Fault quantity-unreadable, unit-unknown where a fluid's quantity is no quantity
 *  Source: Wildeman, Dekker and Smit (1997) for the grouping, from memory; costs as in `costOfDays`. */
export function planVisits(
  machine: Machine,
  facts: MachineFacts,
  dues: readonly Due[],
  household: Household,
  nowMs: number,
): Visit[] {
  if (machine.gone) return [];
  const today = dayNumber(dayOf(nowMs, household.zone));
  const rest = restAhead(machine, today);
  const resting = rest !== null && rest.from <= today;
  if (resting && rest.until === Number.POSITIVE_INFINITY) return [];
  const orderDay = resting ? rest.until + 1 : today;
  const restDays = rest !== null && Number.isFinite(rest.until) ? rest.until - Math.max(rest.from, today) + 1 : 0;
  const scene: Scene = {
    machine,
    facts,
    dues,
    household,
    today,
    days: workingDayNumbers(today, today + horizonDays + overhangDays + restDays, household),
    rest,
    open: findOpenVisits(facts, dues, household.zone),
    morning: timeOfDayAt(nowMs, household.zone) < morningEnds,
    orderDay,
    taken: new Set(facts.visits.map((visit) => visit.id)),
  };
  const visits = (['owner', 'dealer'] as const).flatMap((by) => [
    ...planServices(scene, by),
    ...planGettingToKnow(scene, by),
  ]);
  return visits.sort((a, b) => (a.day < b.day ? -1 : a.day > b.day ? 1 : a.id < b.id ? -1 : 1));
}

function planServices(scene: Scene, by: Task['by']): Visit[] {
  const { household, days } = scene;
  const candidates = candidatesFor(scene, by);
  const setUp = household.setUpMinutes / setUpMinutesPerInterval;
  const bundles = chooseBundles(candidates, scene.open, setUp);
  const groups = groupBundles(bundles.map(sumCosts), setUp).map((group) =>
    group.bundles.flatMap((index) => bundles[index] ?? []),
  );
  const matches = matchOpenVisits(
    groups.map((group) => group.map((c) => c.task.id)),
    scene.open,
  );
  return groups.flatMap((group, i) => {
    const match = matches[i] ?? null;
    const dayIndex = chooseDay(group, match, days);
    const day = days[dayIndex];
    if (day === undefined) return [];
    const here = partsHereFrom(
      listShopping(
        group.map((c) => c.task),
        scene.facts,
        household,
      ),
      group.map((c) => c.due),
      scene.facts,
      household,
      scene.orderDay,
    );
    // Two tasks may want the same thing from the shelf: together they can lack what neither lacks alone.
    const withParts = here <= day ? day : (days.find((d) => d >= here && !isInRest(d, scene.rest)) ?? day);
    return [writeVisit(scene, group, match, withParts, 'service')];
  });
}

/** Tasks with a due date within the horizon and a day on which they can be done, in the order of their own best days. */
function candidatesFor(scene: Scene, by: Task['by']): Candidate[] {
  const { machine, dues, today, days } = scene;
  const latest = dayNumbered(today + horizonDays);
  const byId = new Map(machine.tasks.map((task) => [task.id, task]));
  return dues
    .flatMap((due) => {
      const task = byId.get(due.task);
      if (task === undefined || task.by !== by || due.unknownLast || due.limit === 'use') return [];
      if (due.day === null || due.curve === null || due.day.p50 > latest) return [];
      const plain = costOfDays(due, days);
      const earliest = earliestFor(scene, task, due, plain);
      const costs = plain.map((cost, i) => {
        const day = days[i] ?? 0;
        return day < earliest || isInRest(day, scene.rest) ? Number.POSITIVE_INFINITY : cost;
      });
      const { index } = leastOf(costs);
      return index < 0 ? [] : [{ task, due, costs, best: index }];
    })
    .sort((a, b) => a.best - b.best || compare(a.due.day?.p50 ?? '', b.due.day?.p50 ?? ''));
}

/** First day number on which a task can be proposed. */
function earliestFor(scene: Scene, task: Task, due: Due, plain: readonly number[]): number {
  const { facts, household, today, days, rest } = scene;
  const announced = scene.open.find((open) => open.tasks.includes(task.id))?.visit.day;
  const announcedDay = announced === undefined ? null : dayNumber(announced);
  const todayWillDo = announcedDay === today || (scene.morning && (announcedDay === null || announcedDay > today));
  const start = todayWillDo ? today : today + 1;
  const here = partsHereFrom(listShopping([task], facts, household), [due], facts, household, scene.orderDay);
  const asked = askedOn(due, facts, household);
  const free = Math.max(start, here, asked === null ? 0 : dayNumber(asked));
  if (rest === null) return free;
  const wish = days[leastOf(plain.map((cost, i) => ((days[i] ?? 0) < free ? Number.POSITIVE_INFINITY : cost))).index];
  return wish !== undefined && isInRest(wish, rest) ? Math.max(free, rest.until + 1) : free;
}

/** One bundle a task, or announced company kept together, where parting would hardly be better. */
function chooseBundles(candidates: readonly Candidate[], open: readonly OpenVisit[], setUp: number): Candidate[][] {
  const free = candidates.map((candidate) => [candidate]);
  const kept: Candidate[][] = [];
  const placed = new Set<Candidate>();
  for (const candidate of candidates) {
    if (placed.has(candidate)) continue;
    const visit = open.find((o) => o.tasks.includes(candidate.task.id));
    const company =
      visit === undefined ? [candidate] : candidates.filter((c) => !placed.has(c) && visit.tasks.includes(c.task.id));
    for (const member of company) placed.add(member);
    kept.push(company);
  }
  if (kept.length === free.length) return free;
  const keptCosts = kept.map(sumCosts);
  if (keptCosts.some((row) => leastOf(row).index < 0)) return free;
  const costKept = totalCost(groupBundles(keptCosts, setUp), setUp);
  const costFree = totalCost(groupBundles(free.map(sumCosts), setUp), setUp);
  return costKept - costFree < keepGroupMargin ? kept : free;
}

/** Index of the cheapest day, or of the announced one while it is hardly worse. */
function chooseDay(group: readonly Candidate[], match: OpenVisit | null, days: readonly number[]): number {
  const costs = sumCosts(group);
  const { value, index } = leastOf(costs);
  if (match === null) return index;
  const announced = days.indexOf(dayNumber(match.visit.day));
  const there = costs[announced] ?? Number.POSITIVE_INFINITY;
  return there - value < keepDayMargin ? announced : index;
}

function sumCosts(candidates: readonly Candidate[]): number[] {
  const [first, ...rest] = candidates;
  return (first?.costs ?? []).map((cost, i) => rest.reduce((sum, c) => sum + (c.costs[i] ?? 0), cost));
}

/** The visit for everything whose past nobody knows. */
function planGettingToKnow(scene: Scene, by: Task['by']): Visit[] {
  const { machine, dues, facts, household, today, days, rest } = scene;
  const byId = new Map(machine.tasks.map((task) => [task.id, task]));
  const unknown = dues.flatMap((due) => {
    const task = byId.get(due.task);
    if (task === undefined || task.by !== by || !due.unknownLast || due.day === null) return [];
    if (due.limit === 'use' || due.limit === 'noticed') return [];
    return [{ task, due, costs: [], best: 0 }];
  });
  if (unknown.length === 0) return [];
  const match = matchOpenVisits([unknown.map((c) => c.task.id)], scene.open)[0] ?? null;
  const asked = unknown.map((c) => askedOn(c.due, facts, household)).filter((day) => day !== null);
  const items = listShopping(
    unknown.map((c) => c.task),
    facts,
    household,
  );
  const earliest = Math.max(
    partsHereFrom(
      items,
      unknown.map((c) => c.due),
      facts,
      household,
      scene.orderDay,
    ),
    ...asked.map(dayNumber),
  );
  const suits = (day: number) => day >= earliest && !isInRest(day, rest);
  const kept = match === null ? null : dayNumber(match.visit.day);
  const soonest = kept === null ? today + gettingToKnowDays : today + 1;
  const day =
    kept !== null && kept >= today && days.includes(kept) && suits(kept)
      ? kept
      : days.find((d) => d >= soonest && suits(d));
  return day === undefined ? [] : [writeVisit(scene, unknown, match, day, 'getting-to-know')];
}

function writeVisit(
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
  const leads = shopping.filter((item) => item.toBuy > 0).map((item) => Math.ceil(item.leadDays));
  const asked = group.map((c) => askedOn(c.due, facts, household)).filter((d) => d !== null);
  const dayIndex = days.indexOf(dayAt);
  return {
    id,
    machine: machine.id,
    tasks,
    leadTask,
    pulledForward: kind === 'service' ? pulledForward(inOrder, leadTask, dayIndex, days) : [],
    day,
    due: kind === 'service' ? firstOf(inOrder, day) : { p10: day, p50: day, p90: day },
    minutes: inOrder.reduce((sum, c) => sum + c.task.minutes, household.setUpMinutes),
    shopping,
    buyBy: leads.length === 0 ? null : dayNumbered(dayAt - Math.max(...leads) - 1),
    revision: match?.visit.revision ?? 0,
    announced: match !== null,
    kind,
    askOn: asked.sort().at(-1) ?? null,
    by: lead?.task.by ?? 'owner',
    pLate: kind === 'service' ? Math.max(0, ...group.map((c) => chanceBy(c.due.lateCurve, dayAt))) : 0,
  };
}

function soonestOf(group: readonly Candidate[]): Candidate | undefined {
  return [...group].sort((a, b) => a.best - b.best || compare(a.due.day?.p50 ?? '', b.due.day?.p50 ?? ''))[0];
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

function isInRest(day: number, rest: Rest | null): boolean {
  return rest !== null && rest.from <= day && day <= rest.until;
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
