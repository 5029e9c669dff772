import { dayNumber } from '../domain/day.js';
import { layUpsOf } from '../domain/lay-up.js';
import type { Visit } from '../domain/results/visit.js';
import { storagesAhead } from '../forecast/in-storage.js';
import { findCandidates } from './candidates.js';
import { horizonDays } from './constants.js';
import type { Scene } from './scene.js';

/** Plans a machine that is laid up for a season, so that no other work falls between: first around the days on which laying up and
 *  the way back are best by themselves, then, where company moved those, around the days that came of it.
 *  @param scene  with nothing stored yet
 *  @param plan   all visits of a scene
 *  @returns the visits; of a machine that is never laid up as planned once
 *  Source: own policy. */
export function aroundStorage(scene: Scene, plan: (scene: Scene) => Visit[]): Visit[] {
  const { machine, facts, household, today } = scene;
  const ways = new Set(layUpsOf(machine.tasks).flatMap(({ into, back }) => [...into, back]));
  // Ids are handed out anew each time.
  const planned = (days: ReadonlyMap<string, number>, fixed: Scene['fixed']) => {
    const next = (task: string) => days.get(task) ?? null;
    const stored = storagesAhead(machine, facts, next, today, horizonDays, household.zone);
    return plan({ ...scene, stored, fixed, taken: new Set(facts.visits.map((visit) => visit.id)) });
  };
  if (ways.size === 0) return planned(new Map(), scene.fixed);
  const alone: Scene = { ...scene, dues: scene.dues.filter((due) => ways.has(due.task)) };
  const wished = new Map(
    [...findCandidates(alone, 'owner'), ...findCandidates(alone, 'dealer')].flatMap(({ task, best }) => {
      const day = scene.days[best];
      return day === undefined ? [] : [[task.id, day] as const];
    }),
  );
  const visits = planned(wished, scene.fixed);
  const came = new Map(
    visits.flatMap(({ kind, tasks, day }) =>
      kind === 'service' ? tasks.filter((task) => ways.has(task)).map((task) => [task, dayNumber(day)] as const) : [],
    ),
  );
  const stands = [...wished].every(([task, day]) => (came.get(task) ?? day) === day);
  return stands ? visits : planned(new Map([...wished, ...came]), came);
}
