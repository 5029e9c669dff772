import { changeMinutes } from '../domain/change-minutes.js';
import type { SharedAccess } from '../domain/results/visit.js';
import type { Needs, Task } from '../domain/task.js';
import { setUpMinutesPerInterval } from './constants.js';
import type { Shared } from './group.js';
import type { Candidate } from './scene.js';

/** One thing to be done before a task and undone after it, with its minutes. */
export interface Access {
  readonly key: string;
  readonly what: SharedAccess;
  readonly minutes: number;
}

/** What has to be opened, lifted, taken off or warmed up for a task, each once. On a machine that stands cold and whole: what it
 *  asks to be on, cold or down costs nothing.
 *  @returns  the longest first
 *  Source: minutes as in `changeMinutes`, common practice. */
export function accessOf(task: Pick<Task, 'needs' | 'steps'>): Access[] {
  const found = new Map<string, Access>();
  const add = (what: SharedAccess, minutes: number) => {
    const key = what.kind === 'warm' || what.kind === 'battery' ? what.kind : `${what.kind} ${what.name}`;
    found.set(key, { key, what, minutes });
  };
  const wanted: Needs[] = [
    task.needs ?? {},
    ...task.steps.flatMap(({ needs }) => (needs === undefined ? [] : [needs])),
  ];
  for (const { engine, raised, covers, fitted, battery } of wanted) {
    for (const name of covers ?? [])
      add({ kind: 'cover', name }, changeMinutes['cover-off'] + changeMinutes['cover-on']);
    for (const [name, state] of Object.entries(fitted ?? {})) {
      if (state === 'off') add({ kind: 'fitting', name }, changeMinutes['fitting-off'] + changeMinutes['fitting-on']);
    }
    if (raised === 'front' || raised === 'rear') {
      add({ kind: 'raised', name: raised }, changeMinutes.raise + changeMinutes.lower);
    }
    if (battery === 'disconnected')
      add({ kind: 'battery' }, changeMinutes['battery-off'] + changeMinutes['battery-on']);
    if (engine === 'warm' || engine === 'running') add({ kind: 'warm' }, changeMinutes['run-warm']);
  }
  return [...found.values()].sort((a, b) => b.minutes - a.minutes);
}

/** What bundles save by sharing a visit, in the unit of costs: each cover, lift, fitting, battery lead and warm-up is done once for
 *  all that need it.
 *  @param bundles  tasks that are kept together already
 *  @returns        only what two bundles or more share
 *  Source: common practice; minutes weigh as those of setting up. */
export function sharedAccess(bundles: readonly (readonly Pick<Candidate, 'task'>[])[]): Shared[] {
  const users = new Map<string, { readonly minutes: number; readonly bundles: number[] }>();
  for (const [at, bundle] of bundles.entries()) {
    const own = new Map(bundle.flatMap(({ task }) => accessOf(task)).map((access) => [access.key, access]));
    for (const { key, minutes } of own.values()) {
      const known = users.get(key);
      if (known === undefined) users.set(key, { minutes, bundles: [at] });
      else known.bundles.push(at);
    }
  }
  return [...users.values()].flatMap(({ minutes, bundles: sharing }) =>
    sharing.length < 2 ? [] : [{ bundles: sharing, saves: minutes / setUpMinutesPerInterval, kind: 'each' as const }],
  );
}
