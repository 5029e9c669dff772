import { type Day, dayNumber, dayNumbered, dayOf } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import { layUpsOf } from '../domain/lay-up.js';
import type { Machine } from '../domain/machine.js';
import { meterHours } from '../domain/meter-hours.js';
import { openFindings } from '../domain/open-findings.js';
import type { Due, DueCurve, LimitKind, Spread } from '../domain/results/due.js';
import type { Task } from '../domain/task.js';
import { hoursPerYear } from '../hours/at.js';
import { daysPerYear } from '../hours/constants.js';
import type { HoursEstimate } from '../hours/estimate.js';
import { remember } from '../hours/remember.js';
import { countFrom } from '../hours/since.js';
import { combineFirst } from './combine.js';
import { type CourseMemory, goalKey, type HoursGoal, newCourseMemory } from './course-memory.js';
import { farthestDays } from './crossing.js';
import { heldBelow } from './curve.js';
import { holdCourse, holdDay, lateDayOf } from './hold.js';
import { type HoursCourses, hoursCourses } from './hours-course.js';
import { lastStored, type Stored, storagesAhead } from './in-storage.js';
import { type LastDone, lastDone } from './last-done.js';
import { type CalendarLimit, type HoursLimit, type IntervalStart, limitsOf, mendingLimit } from './limits.js';
import { knownBySeason, passOverMissed } from './missed-season.js';

/** How far ahead storage is looked at, days: as far as visits are planned. */
const storageDays = 730;

/** When each task of a machine comes due: the first of its limits, hours limits as a distribution, calendar limits as certain days, so
 *  P(due by d) = 1 from the calendar day on and P(Y(d) >= target) before it. In storage no hours are added, and nothing becomes late
 *  but the way back itself.
 *  @param facts     of this machine
 *  @param estimate  null where nothing is known of the hours: hours limits are left out
 *  @param memory    of this estimate and the household's zone, for whoever looks again; the answer is the same with an empty one
 *  @returns         one entry a task, soonest median first, tasks without a day last; [] for a machine that is gone. A task of which nobody
 *                   knows when it was last done is due today (it belongs to the visit for getting to know the machine) and never late.
 *                   One that was found outside its limits and left so is due since that day, limit `noticed`, unless left out since.
 *  Source: van Noortwijk 2009 Reliab. Eng. Syst. Saf. 94:2-21 (first passage); the rest common practice, no source. */
export function forecastDues(
  machine: Machine,
  facts: MachineFacts,
  estimate: HoursEstimate | null,
  household: Household,
  nowMs: number,
  memory: CourseMemory = newCourseMemory(),
): Due[] {
  if (machine.gone) return [];
  const day = dayOf(nowMs, household.zone);
  const today = dayNumber(day);
  const setting: Setting = {
    machine,
    facts,
    household,
    day,
    today,
    estimate,
    memory,
    toMend: daysToMend(machine, facts),
    courses: estimate === null ? null : hoursCourses(estimate, today, household.zone, memory),
    pace: estimate === null ? 0 : hoursPerYear(estimate, nowMs) / daysPerYear,
    stored: [],
    resting: [],
  };
  const ways = new Set(layUpsOf(machine.tasks).flatMap(({ into, back }) => [...into, back]));
  const [seasons, others] = [true, false].map((is) => machine.tasks.filter((task) => ways.has(task.id) === is));
  const bySeason = (seasons ?? []).map((task) => dueOf(task, setting));
  const dayOfTask = (task: string) => {
    const found = bySeason.find((due) => due.task === task)?.calendarDay ?? null;
    return found === null ? null : dayNumber(found);
  };
  const stored = storagesAhead(machine, facts, dayOfTask, today, storageDays, household.zone);
  const before = lastStored(machine, facts);
  const held: Setting = { ...setting, stored, resting: before === null ? stored : [before, ...stored] };
  return [...bySeason, ...(others ?? []).map((task) => dueOf(task, held))].sort(
    (a, b) => compareDays(a.day?.p50, b.day?.p50) || compareDays(a.day?.p10, b.day?.p10),
  );
}

interface Setting {
  readonly machine: Machine;
  readonly facts: MachineFacts;
  readonly household: Household;
  readonly day: Day;
  /** Number of the day. */
  readonly today: number;
  readonly estimate: HoursEstimate | null;
  readonly memory: CourseMemory;
  /** Tasks found outside their limits and left so, with the day. */
  readonly toMend: ReadonlyMap<string, Day>;
  readonly courses: HoursCourses | null;
  /** Expected hours a day over the next year. */
  readonly pace: number;
  /** In storage from today on: no hours are added. */
  readonly stored: readonly Stored[];
  /** `stored`, and the last one that is over: nothing becomes late for it. */
  readonly resting: readonly Stored[];
}

function dueOf(task: Task, setting: Setting): Due {
  const { machine, facts, household, day: today } = setting;
  const foundOn = setting.toMend.get(task.id);
  const known = knownBySeason(lastDone(machine, task, facts, household.zone), task, today, household);
  // What was looked at is no longer unknown.
  const last = foundOn === undefined ? known : { ...known, unknown: false };
  const all = limitsOf(machine, task, last, (one) => startOf(one, setting), facts, household);
  const limits =
    foundOn === undefined
      ? { ...all, calendar: passOverMissed(all.calendar, task, today, household) }
      : { hours: [], calendar: [mendingLimit(foundOn)] };
  const blank = blankDue(machine, task, last, limits, setting);
  if (task.every === 'use' || (limits.hours.length === 0 && limits.calendar.length === 0 && !last.unknown))
    return blank;
  if (last.unknown) {
    if (task.every === undefined && task.season === undefined) return blank;
    return {
      ...blank,
      day: { p10: today, p50: today, p90: today },
      curve: { from: today, offsets: [0], p: [1] },
      lateCurve: { from: today, offsets: [0], p: [0] },
    };
  }
  const reachable = setting.courses === null ? [] : limits.hours;
  const step = firstStep(limits.calendar.map((limit) => dayNumber(limit.day)));
  const lateStep = firstStep(limits.calendar.map((limit) => lateDayOf(dayNumber(limit.day), limit, setting.resting)));
  const day = firstDays(reachable, step, setting);
  if (day === null) return blank;
  const late = reachable.map((limit) => ({
    ...limit,
    targetHours: meterHours(limit.targetHours + limit.toleranceHours),
  }));
  const curve = curveOf(reachable, step, setting);
  return {
    ...blank,
    limit: likeliest(reachable, limits.calendar, setting),
    day,
    curve,
    lateCurve: heldBelow(curveOf(late, lateStep, setting), curve),
  };
}

/** Tasks found outside their limits and not left out since, each with the day of the finding. */
function daysToMend(machine: Machine, facts: MachineFacts): ReadonlyMap<string, Day> {
  const isLeftOut = (task: string, sinceMs: number) =>
    facts.answers.some((a) => a.kind === 'leave-out' && a.atMs > sinceMs && a.tasks.includes(task));
  return new Map(
    openFindings(machine, facts)
      .filter(({ task, enteredAtMs }) => !isLeftOut(task, enteredAtMs))
      .map(({ task, day }) => [task, day]),
  );
}

/** All that does not depend on the forecast. */
function blankDue(
  machine: Machine,
  task: Task,
  last: LastDone,
  limits: { hours: HoursLimit[]; calendar: CalendarLimit[] },
  setting: Setting,
): Due {
  const nearest = [...limits.hours].sort((a, b) => a.targetHours - b.targetHours)[0];
  const soonest = [...limits.calendar].sort((a, b) => dayNumber(a.day) - dayNumber(b.day))[0];
  const kind: LimitKind = task.every === 'use' ? 'use' : (nearest?.kind ?? soonest?.kind ?? configuredKind(task));
  const byHours = nearest !== undefined && setting.pace > 0 ? nearest.intervalHours / setting.pace : null;
  const intervals = [byHours, soonest?.intervalDays ?? null].filter((days) => days !== null);
  const start = startOf(last, setting);
  const isSilent = last.unknown || task.every === 'use';
  return {
    machine: machine.id,
    task: task.id,
    limit: kind,
    day: null,
    curve: null,
    lateCurve: null,
    targetHours: isSilent ? null : (nearest?.targetHours ?? null),
    intervalHours: nearest?.intervalHours ?? null,
    toleranceHours: nearest?.toleranceHours ?? null,
    countedFrom: isSilent ? null : ((nearest ?? start)?.counted ?? null),
    calendarDay: isSilent ? null : (soonest?.day ?? null),
    intervalDays: intervals.length === 0 ? null : Math.round(Math.min(...intervals, 3650)),
    lastDay: last.isDone ? last.day : null,
    lastHours: last.isDone ? (start?.hours ?? null) : null,
    unknownLast: last.unknown,
    cycle: last.cycle,
  };
}

function configuredKind(task: Task): LimitKind {
  if (task.every === 'use') return 'use';
  if (task.every?.hours !== undefined) return 'hours';
  if (task.every?.months !== undefined) return 'months';
  if (task.season !== undefined) return 'season';
  return task.first === undefined ? 'noticed' : 'break-in';
}

/** Quantile days of the first limit: the earliest hours quantile, cut at the calendar. Null where the median is beyond ten years. */
function firstDays(limits: readonly HoursLimit[], step: number | null, setting: Setting): Spread<Day> | null {
  const { today, courses, stored } = setting;
  // Hours limits share one path: of several the first to be reached is the same on every path, but for what their starts leave open.
  const each =
    courses === null
      ? []
      : limits.map((limit) => courses.quantiles(limit).map((day) => holdDay(day ?? Number.POSITIVE_INFINITY, stored)));
  const [p10, p50, p90] = [0, 1, 2].map((i) =>
    Math.min(step ?? Number.POSITIVE_INFINITY, ...each.map((quantiles) => quantiles[i] ?? Number.POSITIVE_INFINITY)),
  );
  const farthest = today + farthestDays;
  if (p10 === undefined || p50 === undefined || p90 === undefined || p50 > farthest) return null;
  return {
    p10: dayNumbered(Math.min(p10, p50)),
    p50: dayNumbered(p50),
    p90: dayNumbered(Math.max(p50, Math.min(p90, farthest))),
  };
}

/** Hours first where the target is likelier than not reached before the calendar day. */
function likeliest(limits: readonly HoursLimit[], calendar: readonly CalendarLimit[], setting: Setting): LimitKind {
  const nearest = [...limits].sort((a, b) => a.targetHours - b.targetHours)[0];
  const soonest = [...calendar].sort((a, b) => dayNumber(a.day) - dayNumber(b.day))[0];
  if (nearest === undefined) return soonest?.kind ?? 'months';
  if (soonest === undefined) return nearest.kind;
  const median = setting.courses?.quantiles(nearest)[1] ?? null;
  return median !== null && median < dayNumber(soonest.day) ? nearest.kind : soonest.kind;
}

/** The curve of the first of some goals and a calendar day: made once, and shared by tasks with the same limits. */
function curveOf(goals: readonly HoursGoal[], step: number | null, setting: Setting): DueCurve {
  const { courses, memory, stored } = setting;
  const make = () => {
    const { days, p } = combineFirst(
      courses === null ? [] : goals.map((goal) => holdCourse(courses.course(goal), stored)),
      step,
    );
    const first = days[0] ?? 0;
    return { from: dayNumbered(first), offsets: days.map((day) => day - first), p };
  };
  return remember(
    memory.curves,
    `${goals.map(goalKey).join(' ')}|${step ?? ''}|${courses?.horizon ?? ''}|${stored.map(({ from, until }) => `${from}-${until}`).join(' ')}`,
    make,
  );
}

function firstStep(days: readonly number[]): number | null {
  return days.length === 0 ? null : Math.min(...days);
}

/** Where the hours of an interval start: as read, else at the instant itself, with what is said of it now. */
function startOf({ hours, unreadAtMs }: LastDone, { estimate, memory }: Setting): IntervalStart | null {
  if (unreadAtMs === null || estimate === null) return hours === null ? null : { hours, counted: null };
  const counted = remember(memory.starts, unreadAtMs, () => countFrom(estimate, unreadAtMs));
  return { hours: counted.hours, counted };
}

function compareDays(a: Day | undefined, b: Day | undefined): number {
  if (a === b) return 0;
  if (a === undefined) return 1;
  return b === undefined || a < b ? -1 : 1;
}
