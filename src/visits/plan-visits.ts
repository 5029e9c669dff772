import { dayNumber, dayNumbered, dayOf, startOfDay, timeOfDayAt } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { ownVisits, withMending } from '../domain/mending.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { aroundStorage } from './around-storage.js';
import { findCandidates } from './candidates.js';
import {
  horizonDays,
  keepDayMargin,
  keepGroupMargin,
  morningEnds,
  overhangDays,
  setUpMinutesPerInterval,
} from './constants.js';
import { restAhead } from './earliest-day.js';
import type { Foresight } from './foresight.js';
import { planGettingToKnow } from './getting-to-know.js';
import { leastOf, type Shared } from './group.js';
import { groupBundles } from './group-tasks.js';
import { findOpenVisits, matchOpenVisits, type OpenVisit } from './open-visits.js';
import { partSeasons } from './part-seasons.js';
import { partsHereFrom } from './parts-here.js';
import { type Candidate, compareDays, isAway, type Scene } from './scene.js';
import { sharedAccess } from './shared-access.js';
import { listShopping } from './shopping.js';
import { workingDayNumbers } from './working-days.js';
import { writeVisit } from './write-visit.js';

/** Visits of one machine: tasks that are worth doing together, each visit on the working day of least expected cost, with
 *  what must be bought by when. Announced visits keep their id, and their day and company unless others are clearly better.
 *  Tasks nobody knows the past of make one visit for getting to know the machine, soon, never late.
 *  @param asPlanned  gone: no visits; at rest: what falls into the rest comes after it
 *  @param facts      of this machine
 *  @param dues       one a task, from forecast/due
 *  @param household  working days, days off, set-up minutes, people
 *  @param nowMs      UTC milliseconds
 *  @param foresight  of this machine's hours; null: what is left of an interval is judged in days
 *  @returns soonest first; a task due within two years stands in exactly one, later ones in none; [] without dues
 *  @throws Fault quantity-unreadable, unit-unknown where a fluid's quantity is no quantity
 *  Source: Wildeman, Dekker and Smit (1997) for the grouping, from memory; costs as in `costOfDays`. */
export function planVisits(
  asPlanned: Machine,
  facts: MachineFacts,
  dues: readonly Due[],
  household: Household,
  nowMs: number,
  foresight: Foresight | null = null,
): Visit[] {
  if (asPlanned.gone) return [];
  const machine = withMending(asPlanned, facts);
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
    nowMs,
    today,
    foresight,
    days: workingDayNumbers(today, today + horizonDays + overhangDays + restDays, household),
    rest,
    open: findOpenVisits(facts, dues, household.zone),
    morning:
      timeOfDayAt(nowMs, household.zone) < morningEnds &&
      !wasTouchedOn(facts, startOfDay(dayNumbered(today), household.zone)),
    orderDay,
    taken: new Set(),
    stored: [],
    fixed: new Map(),
  };
  return aroundStorage(scene, planAll);
}

function planAll(scene: Scene): Visit[] {
  const look = planGettingToKnow(scene, 'owner', null);
  // What a first look found outside its limits is a service of its own: the id stays with the rest of the look.
  const services = { ...scene, open: scene.open.filter(({ visit }) => look.every(({ id }) => id !== visit.id)) };
  const lookOn = look[0] === undefined ? null : dayNumber(look[0].day);
  const visits = [
    ...planServices(services, 'owner'),
    ...look,
    ...planServices(services, 'dealer'),
    ...planGettingToKnow(scene, 'dealer', lookOn),
  ];
  return visits.sort((a, b) => compareDays(a.day, b.day) || compareDays(a.id, b.id));
}

function planServices(scene: Scene, by: Task['by']): Visit[] {
  const { household, days } = scene;
  const alone = ownVisits(scene.machine, scene.facts);
  const all = findCandidates(scene, by);
  const candidates = all.filter(({ task }) => !alone.has(task.id));
  const setUp = household.setUpMinutes / setUpMinutesPerInterval;
  const bundles = chooseBundles(candidates, scene.open, setUp, by);
  const together = groupBundles(bundles.map(sumCosts), setUp, sharedFor(by, bundles)).groups.flatMap((group) =>
    partSeasons(group.bundles.flatMap((index) => bundles[index] ?? [])),
  );
  const groups = [...together, ...all.filter(({ task }) => alone.has(task.id)).map((candidate) => [candidate])];
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
    const withParts = here <= day ? day : (days.find((d) => d >= here && !isAway(d, scene)) ?? day);
    return [writeVisit(scene, group, match, withParts, 'service')];
  });
}

/** One bundle a task, or announced company kept together, where parting would hardly be better. */
function chooseBundles(
  candidates: readonly Candidate[],
  open: readonly OpenVisit[],
  setUp: number,
  by: Task['by'],
): Candidate[][] {
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
  const costKept = groupBundles(keptCosts, setUp, sharedFor(by, kept)).cost;
  const costFree = groupBundles(free.map(sumCosts), setUp, sharedFor(by, free)).cost;
  return costKept - costFree < keepGroupMargin ? kept : free;
}

/** The dealer's covers and lifts are the dealer's. */
function sharedFor(by: Task['by'], bundles: readonly (readonly Candidate[])[]): Shared[] {
  return by === 'owner' ? sharedAccess(bundles) : [];
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

/** Whether anything about the machine was entered since the day began: then nobody is sent back to it on the same day. */
function wasTouchedOn(facts: MachineFacts, startMs: number): boolean {
  return (
    facts.readings.some((reading) => reading.atMs >= startMs) ||
    facts.records.some((record) => record.enteredAtMs >= startMs) ||
    facts.answers.some((answer) => answer.kind !== 'ask-on' && answer.atMs >= startMs)
  );
}
