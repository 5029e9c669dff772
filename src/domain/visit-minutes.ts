import type { MachineFacts, ServiceRecord } from './facts.js';
import { tasksLeftOut, tasksPartlyDone } from './open-findings.js';
import type { Task } from './task.js';

/** The tasks of a visit, and those that they bring in the same visit.
 *  @param ids    of the visit
 *  @param tasks  all of the machine
 *  @returns      each once, in the order of the plan; checks before each use and tasks the machine no longer has left out
 *  Source: common practice, no source. */
export function tasksOfVisit(ids: readonly string[], tasks: readonly Task[]): Task[] {
  const wanted = new Set(ids);
  for (const id of wanted) {
    // A Set is walked over in the order of adding, so what is brought can bring more.
    const task = tasks.find((candidate) => candidate.id === id);
    for (const next of task?.leadsTo ?? []) if (next.at === 'once' || next.at === 'end') wanted.add(next.task);
  }
  return tasks.filter(({ id, every }) => wanted.has(id) && every !== 'use');
}

/** What a visit brings beside its own tasks: what closes what it leaves open, and what belongs to its end. It may be done and
 *  recorded with the visit.
 *  @param ids    of the visit
 *  @param tasks  all of the machine
 *  @param at     'once': only what has to be closed before anything else, with what that brings
 *  @returns      ids, none of `ids` among them, in the order of the plan
 *  Source: common practice, no source. */
export function broughtInVisit(
  ids: readonly string[],
  tasks: readonly Task[],
  at: 'once' | 'once or end' = 'once or end',
): string[] {
  const asBrought =
    at === 'once'
      ? tasks.map((task) => ({ ...task, leadsTo: (task.leadsTo ?? []).filter((next) => next.at === 'once') }))
      : tasks;
  return tasksOfVisit(ids, asBrought).flatMap(({ id }) => (ids.includes(id) ? [] : [id]));
}

/** Minutes of a visit, the one figure that sheet, pages, calendar and messages say: its tasks, those that they bring at the
 *  end, and setting up and putting away, at the pace at which this machine was worked on before. Waiting for an engine to warm
 *  up or cool down is not in it.
 *  @param ids           of the visit
 *  @param tasks         all of the machine
 *  @param by            the dealer sets up nothing of ours, and nothing is learnt about the dealer's pace
 *  @param setUpMinutes  of the household, >= 0
 *  @param facts         of the machine: what earlier visits took
 *  @returns             >= 0; whole minutes where a pace was learnt
 *  Source: common practice, no source. */
export function minutesOfVisit(
  ids: readonly string[],
  tasks: readonly Task[],
  by: Task['by'],
  setUpMinutes: number,
  facts: Pick<MachineFacts, 'records' | 'visits'>,
): number {
  const planned = minutesPlanned(ids, tasks, by, setUpMinutes);
  const pace = by === 'owner' ? learnPace(tasks, setUpMinutes, facts) : 1;
  return pace === 1 ? planned : Math.round(planned * pace);
}

/** So many of the last whole visits count: hands get quicker, and another person may have taken over. */
const visitsCounted = 5;
/** With fewer nothing is learnt: of two one cannot tell which was the odd one. */
const visitsNeeded = 3;
/** Beyond these the minutes told were meant for something else, or the plan's are. */
const [slowest, quickest] = [2, 0.5];

/** How long work on this machine takes for each minute of its plan: the median over its last whole visits of which somebody told
 *  the minutes. One visit that took a day for once changes nothing.
 *  @param tasks         all of the machine
 *  @param setUpMinutes  of the household, >= 0
 *  @param facts         of the machine; papers that were imported, visits done in part and those that left something to be mended
 *                       teach nothing, nor does work of the dealer
 *  @returns             0.5 to 2; 1 where fewer than three visits tell
 *  Source: common practice, no source. */
export function learnPace(
  tasks: readonly Task[],
  setUpMinutes: number,
  { records, visits }: Pick<MachineFacts, 'records' | 'visits'>,
): number {
  // What mending adds now was not part of those visits.
  const asPlanned = tasks.map((task) => ({ ...task, minutes: task.minutes - (task.mending?.minutes ?? 0) }));
  const isWhole = (record: ServiceRecord) => {
    const done = tasks.filter(({ id }) => record.tasks.includes(id));
    const announced = visits.find(({ id }) => id === record.visit)?.tasks ?? [];
    return (
      record.door !== 'import' &&
      done.length > 0 &&
      done.length === record.tasks.length &&
      done.every(({ by }) => by === 'owner') &&
      announced.every((id) => record.tasks.includes(id)) &&
      tasksLeftOut(record).length === 0 &&
      tasksPartlyDone(record).length === 0
    );
  };
  const ratios = [...records]
    .sort((a, b) => (a.day === b.day ? b.enteredAtMs - a.enteredAtMs : a.day < b.day ? 1 : -1))
    .filter(isWhole)
    .flatMap((record) => {
      const planned = minutesPlanned(record.tasks, asPlanned, 'owner', setUpMinutes);
      return record.minutes === null || record.minutes <= 0 || planned <= 0 ? [] : [record.minutes / planned];
    })
    .slice(0, visitsCounted)
    .sort((a, b) => a - b);
  if (ratios.length < visitsNeeded) return 1;
  const middle = ratios.slice(Math.ceil(ratios.length / 2) - 1, Math.floor(ratios.length / 2) + 1);
  const median = middle.reduce((sum, ratio) => sum + ratio, 0) / middle.length;
  return Math.min(slowest, Math.max(quickest, median));
}

function minutesPlanned(ids: readonly string[], tasks: readonly Task[], by: Task['by'], setUpMinutes: number): number {
  return tasksOfVisit(ids, tasks).reduce((sum, task) => sum + task.minutes, by === 'owner' ? setUpMinutes : 0);
}
