import { changeMinutes } from '../domain/change-minutes.js';
import type { Needs } from '../domain/task.js';

/** How the machine stands between two jobs. */
export interface MachineState {
  readonly engine: 'cold' | 'warm' | 'running';
  readonly raised: 'none' | 'front' | 'rear';
  readonly coversOff: readonly string[];
  /** Fittings that are off the machine; all others are on. */
  readonly fittingsOff: readonly string[];
  readonly battery: 'connected' | 'disconnected';
}

/** One change of state. */
export type Change =
  | { readonly kind: 'warm-up' | 'run-warm' | 'cool-down' | 'start' | 'stop' | 'brief' }
  | { readonly kind: 'raise' | 'lower'; readonly end: 'front' | 'rear' }
  | { readonly kind: 'cover-off' | 'cover-on'; readonly cover: string }
  | { readonly kind: 'fitting-off' | 'fitting-on'; readonly fitting: string }
  | { readonly kind: 'battery-off' | 'battery-on' };

/** A state and the changes that led to it, in the order of the hands. */
export interface Reached {
  readonly state: MachineState;
  readonly changes: readonly Change[];
}

/** As it was found: cold, on its wheels, covers and fittings on, battery connected. */
export const asItStands: MachineState = {
  engine: 'cold',
  raised: 'none',
  coversOff: [],
  fittingsOff: [],
  battery: 'connected',
};

/** Minutes of these changes together; `run-warm` is a warm-up and the stop after it, `brief` a start and a stop.
 *  Source: common practice, no source. */
export function minutesOf(changes: readonly Change[]): number {
  return changes.reduce((sum, { kind }) => sum + changeMinutes[kind], 0);
}

/** The changes that bring a machine from one state to one that a job can be done in, none more than needed.
 *  `off` holds cold or warm; `brief` leaves a cold engine cold. Nothing starts without the battery, nor while a cover is off
 *  that the job does not name: covers and guards are back on before each start and come off again after it. Hands go near
 *  covers, stands, fittings and battery only while the engine stands still, so that a running one is stopped for it.
 *  @param from   state now
 *  @param needs  of the job; what it does not name stays as it is; an empty list of covers means that all are on
 *  @returns      no changes where the state already fits
 *  Source: common practice, no source. */
export function reach(from: MachineState, needs: Needs): Reached {
  const changes: Change[] = [];
  let { engine, raised, battery } = from;
  const coversOff = new Set(from.coversOff);
  const fittingsOff = new Set(from.fittingsOff);
  const need = needs.engine ?? 'any';
  const starts = needsStart(engine, need);
  // A run of its own before a warm job: its covers come off after it.
  const runsBefore = need === 'warm' && engine === 'cold';
  const offWhileRunning = runsBefore ? [] : (needs.covers ?? []);

  const handsNear: Change[] = [];
  if (battery === 'disconnected' && (needs.battery === 'connected' || starts)) {
    handsNear.push({ kind: 'battery-on' });
    battery = 'connected';
  }
  if (starts || need === 'running' || needs.covers?.length === 0) {
    for (const cover of [...coversOff].sort()) {
      if (offWhileRunning.includes(cover)) continue;
      handsNear.push({ kind: 'cover-on', cover });
      coversOff.delete(cover);
    }
  }
  const wantedRaised = needs.raised ?? 'any';
  const changesEnd = wantedRaised !== 'any' && wantedRaised !== raised;
  if (changesEnd && raised !== 'none') handsNear.push({ kind: 'lower', end: raised });
  for (const [fitting, wanted] of Object.entries(needs.fitted ?? {}).sort(([a], [b]) => (a < b ? -1 : 1))) {
    if ((wanted === 'off') === fittingsOff.has(fitting)) continue;
    handsNear.push({ kind: wanted === 'off' ? 'fitting-off' : 'fitting-on', fitting });
    if (wanted === 'off') fittingsOff.add(fitting);
    else fittingsOff.delete(fitting);
  }
  if (changesEnd) {
    if (wantedRaised !== 'none') handsNear.push({ kind: 'raise', end: wantedRaised });
    raised = wantedRaised;
  }
  const opened: Change[] = [];
  for (const cover of needs.covers ?? []) {
    if (coversOff.has(cover)) continue;
    opened.push({ kind: 'cover-off', cover });
    coversOff.add(cover);
  }
  const disconnects = battery === 'connected' && needs.battery === 'disconnected';

  if (engine === 'running' && (handsNear.length > 0 || opened.length > 0 || disconnects)) {
    changes.push({ kind: 'stop' });
    engine = 'warm';
  }
  const turned = turnEngine(engine, need);
  changes.push(...handsNear, ...(runsBefore ? [...turned.changes, ...opened] : [...opened, ...turned.changes]));
  engine = turned.engine;
  if (disconnects) {
    changes.push({ kind: 'battery-off' });
    battery = 'disconnected';
  }
  return { state: { engine, raised, coversOff: [...coversOff], fittingsOff: [...fittingsOff], battery }, changes };
}

/** The changes that bring a machine through one need after the other: that of a job, then those of its steps.
 *  Source: common practice, no source. */
export function reachAll(from: MachineState, needs: readonly Needs[]): Reached {
  let state = from;
  const changes: Change[] = [];
  for (const need of needs) {
    const reached = reach(state, need);
    changes.push(...reached.changes);
    state = reached.state;
  }
  return { state, changes };
}

/** What has to be put back at the end: covers on, on its wheels, fittings as found, battery connected.
 *  @param battery  `any` leaves it as it is, on a machine that was laid up
 *  Source: common practice, no source. */
export function putBack(
  from: MachineState,
  engine: 'running' | 'any',
  battery: 'connected' | 'any' = 'connected',
): Reached {
  const fitted = Object.fromEntries(from.fittingsOff.map((fitting) => [fitting, 'on' as const]));
  return reach(from, {
    engine,
    raised: 'none',
    fitted,
    covers: [],
    ...(battery === 'any' ? {} : { battery }),
  });
}

function needsStart(engine: MachineState['engine'], need: Needs['engine']): boolean {
  if (need === 'brief') return true;
  if (need === 'running') return engine !== 'running';
  return need === 'warm' && engine === 'cold';
}

function turnEngine(
  engine: MachineState['engine'],
  need: NonNullable<Needs['engine']>,
): { readonly engine: MachineState['engine']; readonly changes: readonly Change[] } {
  const stopped: readonly Change[] = engine === 'running' ? [{ kind: 'stop' }] : [];
  switch (need) {
    case 'any':
      return { engine, changes: [] };
    case 'off':
      return { engine: engine === 'cold' ? 'cold' : 'warm', changes: stopped };
    case 'brief':
      return { engine: engine === 'cold' ? 'cold' : 'warm', changes: [...stopped, { kind: 'brief' }] };
    case 'cold':
      return { engine: 'cold', changes: engine === 'cold' ? [] : [...stopped, { kind: 'cool-down' }] };
    case 'warm':
      return { engine: 'warm', changes: engine === 'cold' ? [{ kind: 'run-warm' }] : stopped };
    case 'running':
      return {
        engine: 'running',
        changes: engine === 'running' ? [] : [{ kind: engine === 'cold' ? 'warm-up' : 'start' }],
      };
  }
}
