import type { EngineNeed } from '../domain/task.js';
import { leastOrder } from './least-order.js';
import { type Aspect, boundOfAspects } from './order-bound.js';
import type { Way } from './order-problem.js';

/** A task as a script states it: every change has the minutes that the case gives, and none asks for another. */
export interface PlainTask {
  readonly id: string;
  readonly minutes: number;
  readonly engine: EngineNeed;
  readonly raised: PlainRaised | 'any';
  readonly covers: readonly string[];
  readonly fitted: Readonly<Record<string, 'on' | 'off'>>;
  readonly battery: 'connected' | 'disconnected' | 'any';
  readonly after: readonly string[];
}

type PlainRaised = 'none' | 'front' | 'rear';
type PlainEngine = 'cold' | 'warm' | 'running';

/** How the machine stands, at the start or the end. */
interface PlainState {
  readonly raised: PlainRaised;
  /** Covers that are off. */
  readonly covers: readonly string[];
  readonly fitted: Readonly<Record<string, 'on' | 'off'>>;
}

/** Minutes of each change. */
interface PlainMinutes {
  readonly warmUp: number;
  readonly coolDown: number;
  readonly start: number;
  readonly stop: number;
  readonly raise: number;
  readonly lower: number;
  readonly covers: Readonly<Record<string, { readonly off: number; readonly on: number }>>;
  readonly fitted: Readonly<Record<string, { readonly on: number; readonly off: number }>>;
  readonly battery: { readonly on: number; readonly off: number };
}

/** Tasks to put in order; checked: known names, no circle in `after`. */
export interface PlainCase {
  readonly tasks: readonly PlainTask[];
  readonly start: PlainState & { readonly engine: PlainEngine };
  readonly finish: PlainState;
  readonly changes: PlainMinutes;
}

/** Positions looked at before an order is no longer proven. */
const mostPositions = 1_000_000;

const engines = ['cold', 'warm', 'running'] as const;
const ends = ['none', 'front', 'rear'] as const;

interface State {
  readonly engine: number;
  readonly raised: number;
  readonly battery: 0 | 1;
  /** Fittings that are off, as bits. */
  readonly off: number;
}

/** The order of least minutes of tasks and changes, the finish restored. Tasks of equal needs and constraints are done together.
 *  @returns  ids, each once; `proven` false where the search had to give up, or where a change of the engine takes longer than the
 *            way through its third state (a start longer than cooling down and warming up), which is not searched
 *  Source: the search of `leastOrder`. */
export function orderPlainly({ tasks, start, finish, changes }: PlainCase): {
  readonly order: readonly string[];
  readonly minutes: number;
  readonly proven: boolean;
} {
  const classes = classesOf(tasks);
  const leaders = classes.flatMap(([leader]) => leader ?? []);
  const classOf = new Map(classes.flatMap((members, at) => members.map(({ id }) => [id, at] as const)));
  const fittings = [
    ...new Set(
      tasks.flatMap(({ fitted }) => Object.keys(fitted)).concat(Object.keys(start.fitted), Object.keys(finish.fitted)),
    ),
  ];
  const offIn = (fitted: PlainState['fitted']) =>
    fittings.reduce((bits, fitting, at) => (fitted[fitting] === 'off' ? bits | (1 << at) : bits), 0);
  const engineMinutes = engineTable(changes);
  const raisedMinutes = raisedTable(changes);
  const fittingMinutes = fittings.map((fitting) => changes.fitted[fitting] ?? { on: 0, off: 0 });
  const finishRaised = ends.indexOf(finish.raised);
  const finishOff = offIn(finish.fitted);
  const batteryMatters = tasks.some(({ battery }) => battery === 'disconnected');
  const briefMinutes = changes.start + changes.stop;
  const toFittings = (from: number, to: number) =>
    fittingMinutes.reduce((sum, { on, off }, at) => {
      const [before, after] = [(from >> at) & 1, (to >> at) & 1];
      return before === after ? sum : sum + (after === 1 ? off : on);
    }, 0);
  const batteryBetween = (from: number, to: number) =>
    from === to ? 0 : to === 1 ? changes.battery.off : changes.battery.on;

  /** Engine and battery together: the engine gets warm or runs only with the battery connected. */
  const power = (from: State, engine: number, battery: 0 | 1): number => {
    if (engine === from.engine) return batteryBetween(from.battery, battery);
    const own = engineMinutes[from.engine]?.[engine] ?? 0;
    if (engine === 0) return own + batteryBetween(from.battery, battery);
    return own + batteryBetween(from.battery, 0) + batteryBetween(0, battery);
  };
  const brief = (from: State, engine: number, battery: 0 | 1): number =>
    (engine === from.engine ? 0 : (engineMinutes[from.engine]?.[engine] ?? 0)) +
    batteryBetween(from.battery, 0) +
    briefMinutes +
    batteryBetween(0, battery);
  const ways = (from: State, item: number): Way<State>[] => {
    const { engine: need = 'any', battery = 'any', raised: end = 'any', fitted = {} } = leaders[item] ?? {};
    const raised = end === 'any' ? from.raised : ends.indexOf(end);
    const off = fittings.reduce((bits, fitting, at) => {
      const wanted = fitted[fitting];
      return wanted === undefined ? bits : wanted === 'off' ? bits | (1 << at) : bits & ~(1 << at);
    }, from.off);
    const hands = (raisedMinutes[from.raised]?.[raised] ?? 0) + toFittings(from.off, off);
    const batteries: readonly (0 | 1)[] =
      battery === 'connected' ? [0] : battery === 'disconnected' ? [1] : batteryMatters ? [0, 1] : [from.battery];
    const more = (classes[item]?.length ?? 1) - 1;
    return enginesFor(need, from.engine, batteryMatters).flatMap((engine) =>
      batteries.map((here) => ({
        to: { engine, raised, battery: here, off },
        minutes:
          hands +
          (need === 'brief'
            ? brief(from, engine, here) + more * (briefMinutes + batteryBetween(here, 0) + batteryBetween(0, here))
            : power(from, engine, here)),
      })),
    );
  };
  const found = leastOrder(
    {
      count: classes.length,
      waits: leaders.map(({ after }) => [...new Set(after.flatMap((id) => classOf.get(id) ?? []))]),
      start: {
        engine: engines.indexOf(start.engine),
        raised: ends.indexOf(start.raised),
        battery: 0 as const,
        off: offIn(start.fitted),
      },
      keyOf: ({ engine, raised, battery, off }: State) => `${engine}${raised}${battery} ${off}`,
      ways,
      end: ({ raised, battery, off }) =>
        (raisedMinutes[raised]?.[finishRaised] ?? 0) + toFittings(off, finishOff) + batteryBetween(battery, 0),
      bound: boundOfAspects(
        [
          engineAspect(leaders, engineMinutes),
          {
            minutes: raisedMinutes,
            suits: leaders.map(({ raised }) => (raised === 'any' ? 0 : 1 << ends.indexOf(raised))),
            end: raisedMinutes.map((row) => row[finishRaised] ?? 0),
            valueOf: ({ raised }) => raised,
          },
          {
            minutes: [
              [0, changes.battery.off],
              [changes.battery.on, 0],
            ],
            suits: leaders.map(({ battery }) => (battery === 'any' ? 0 : battery === 'connected' ? 1 : 2)),
            end: [0, changes.battery.on],
            valueOf: ({ battery }) => battery,
          },
          ...fittings.map(
            (fitting, at): Aspect<State> => ({
              minutes: [
                [0, fittingMinutes[at]?.off ?? 0],
                [fittingMinutes[at]?.on ?? 0, 0],
              ],
              suits: leaders.map(({ fitted }) =>
                fitted[fitting] === undefined ? 0 : fitted[fitting] === 'on' ? 1 : 2,
              ),
              end: (finishOff >> at) & 1 ? [fittingMinutes[at]?.off ?? 0, 0] : [0, fittingMinutes[at]?.on ?? 0],
              valueOf: ({ off }) => (off >> at) & 1,
            }),
          ),
        ],
        leaders.map(({ engine }, item) => (engine === 'brief' ? briefMinutes * (classes[item]?.length ?? 1) : 0)),
      ),
      rank: (item) => [item],
    },
    mostPositions,
  );
  const own = tasks.reduce((sum, { minutes }) => sum + minutes, 0);
  return {
    order: found.steps.flatMap(({ item }) => (classes[item] ?? []).map(({ id }) => id)),
    minutes: own + found.minutes + coverMinutes(tasks, start.covers, finish.covers, changes),
    proven: found.proven && isShortest(engineMinutes),
  };
}

/** Each cover comes off at most once, and on at most once, whatever the order. */
function coverMinutes(
  tasks: readonly PlainTask[],
  atStart: readonly string[],
  atEnd: readonly string[],
  { covers }: PlainMinutes,
): number {
  const wanted = new Set(tasks.flatMap((task) => task.covers));
  return Object.entries(covers).reduce((sum, [cover, { off, on }]) => {
    const isOff = atStart.includes(cover) || wanted.has(cover);
    const opened = isOff && !atStart.includes(cover) ? off : 0;
    if (atEnd.includes(cover)) return sum + (isOff ? opened : off);
    return sum + (isOff ? opened + on : 0);
  }, 0);
}

/** Tasks with equal needs that wait for the same and that the same wait for: once one is done the others change nothing. */
function classesOf(tasks: readonly PlainTask[]): PlainTask[][] {
  const classes = new Map<string, PlainTask[]>();
  for (const task of tasks) {
    const followers = tasks.filter(({ after }) => after.includes(task.id)).map(({ id }) => id);
    const fitted = Object.entries(task.fitted).sort(([a], [b]) => (a < b ? -1 : 1));
    const key = JSON.stringify([
      task.engine,
      task.raised,
      task.battery,
      fitted,
      [...new Set(task.after)].sort(),
      followers,
    ]);
    const members = classes.get(key);
    if (members === undefined) classes.set(key, [task]);
    else members.push(task);
  }
  return [...classes.values()];
}

function engineTable({ warmUp, coolDown, start, stop }: PlainMinutes): number[][] {
  return [
    [0, warmUp + stop, warmUp],
    [coolDown, 0, start],
    [stop + coolDown, stop, 0],
  ];
}

/** Whether no change is quicker by way of another state: only then is it best to leave the engine as it is until work wants it changed. */
function isShortest(minutes: readonly (readonly number[])[]): boolean {
  return minutes.every((row, from) =>
    row.every((amount, to) => minutes.every((by, via) => amount <= (minutes[from]?.[via] ?? 0) + (by[to] ?? 0))),
  );
}

function raisedTable({ raise, lower }: PlainMinutes): number[][] {
  return [
    [0, raise, raise],
    [lower, 0, lower + raise],
    [lower, lower + raise, 0],
  ];
}

/** Engine states in which a task can be done from one; where the battery has to come off, warming up ahead of it can pay. */
function enginesFor(need: EngineNeed, from: number, batteryMatters: boolean): number[] {
  switch (need) {
    case 'cold':
      return [0];
    case 'warm':
      return [1];
    case 'running':
      return [2];
    case 'off':
      return batteryMatters ? [0, 1] : [from === 2 ? 1 : from];
    case 'brief':
      return [from === 2 ? 1 : from];
    case 'any':
      return batteryMatters ? [0, 1, 2] : [from];
  }
}

function engineAspect(leaders: readonly PlainTask[], minutes: readonly (readonly number[])[]): Aspect<State> {
  const suits: Readonly<Record<EngineNeed, number>> = { cold: 1, warm: 2, running: 4, off: 3, brief: 3, any: 0 };
  return {
    minutes,
    suits: leaders.map(({ engine }) => suits[engine]),
    end: minutes.map(() => 0),
    valueOf: ({ engine }) => engine,
  };
}
