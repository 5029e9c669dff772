import fc from 'fast-check';
import { expect, test } from 'vitest';
import { orderPlainly, type PlainCase, type PlainTask } from './plain-order.js';

const minutes = fc.integer({ min: 0, max: 30 });
const ids = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'];
const raised = fc.constantFrom('none', 'front', 'rear');
const fitted = fc.constantFrom({}, {}, { loader: 'on' }, { loader: 'off' });
const covers = fc.subarray(['hood', 'plate']);

const cases = (withBattery: boolean, most: number): fc.Arbitrary<PlainCase> =>
  fc.record({
    tasks: fc
      .array(
        fc.record({
          minutes,
          engine: fc.constantFrom('cold', 'warm', 'running', 'brief', 'off', 'any'),
          raised: fc.constantFrom('none', 'front', 'rear', 'any', 'any'),
          covers,
          fitted,
          battery: withBattery ? fc.constantFrom('connected', 'disconnected', 'any') : fc.constant('any'),
          after: fc.array(fc.nat(7), { maxLength: 2 }),
        }),
        { minLength: 1, maxLength: most },
      )
      .map((drafts) =>
        drafts.map(
          (draft, at): PlainTask => ({
            ...draft,
            id: ids[at] ?? '',
            after: draft.after.filter((other) => other < at).flatMap((other) => ids[other] ?? []),
          }),
        ),
      )
      .chain((tasks) => fc.shuffledSubarray(tasks, { minLength: tasks.length })),
    start: fc.record({ engine: fc.constantFrom('cold', 'warm', 'running'), raised, covers, fitted }),
    finish: fc.record({ raised, covers, fitted }),
    changes: fc.record({
      warmUp: fc.integer({ min: 5, max: 15 }),
      coolDown: fc.integer({ min: 10, max: 60 }),
      start: fc.integer({ min: 0, max: 4 }),
      stop: fc.integer({ min: 0, max: 4 }),
      raise: minutes,
      lower: minutes,
      covers: fc.record({
        hood: fc.record({ off: minutes, on: minutes }),
        plate: fc.record({ off: minutes, on: minutes }),
      }),
      fitted: fc.record({ loader: fc.record({ off: minutes, on: minutes }) }),
      battery: fc.record({ off: minutes, on: minutes }),
    }),
  });

interface Stand {
  readonly engine: 'cold' | 'warm' | 'running';
  readonly raised: string;
  readonly covers: readonly string[];
  readonly loader: string;
}

/** The least minutes over every order that respects `after`, each walked through change by change, written apart from the solver. */
function leastByTryingAll({ tasks, start, finish, changes: c }: PlainCase): number {
  const engineCost = (from: string, to: string) => {
    const table: Readonly<Record<string, number>> = {
      'cold running': c.warmUp,
      'cold warm': c.warmUp + c.stop,
      'warm running': c.start,
      'running warm': c.stop,
      'warm cold': c.coolDown,
      'running cold': c.stop + c.coolDown,
    };
    return table[`${from} ${to}`] ?? 0;
  };
  const raisedCost = (from: string, to: string) =>
    from === to ? 0 : (from === 'none' ? 0 : c.lower) + (to === 'none' ? 0 : c.raise);
  const loaderCost = (from: string, to: string) =>
    from === to ? 0 : to === 'off' ? (c.fitted.loader?.off ?? 0) : (c.fitted.loader?.on ?? 0);
  const coverCost = (cover: string, way: 'off' | 'on') => c.covers[cover]?.[way] ?? 0;
  const perform = (from: Stand, task: PlainTask): readonly [Stand, number] => {
    let cost = task.minutes;
    let { engine } = from;
    const stopped = engine === 'running' ? 'warm' : engine;
    const wanted =
      task.engine === 'any' ? engine : task.engine === 'off' || task.engine === 'brief' ? stopped : task.engine;
    cost += engineCost(engine, wanted);
    engine = wanted;
    if (task.engine === 'brief') cost += c.start + c.stop;
    const end = task.raised === 'any' ? from.raised : task.raised;
    cost += raisedCost(from.raised, end);
    const loader = task.fitted.loader ?? from.loader;
    cost += loaderCost(from.loader, loader);
    const opened = task.covers.filter((cover) => !from.covers.includes(cover));
    for (const cover of opened) cost += coverCost(cover, 'off');
    return [{ engine, raised: end, covers: [...from.covers, ...opened], loader }, cost];
  };
  const restore = (from: Stand): number =>
    raisedCost(from.raised, finish.raised) +
    loaderCost(from.loader, finish.fitted.loader ?? 'on') +
    ['hood', 'plate'].reduce((sum, cover) => {
      const [is, wanted] = [from.covers.includes(cover), finish.covers.includes(cover)];
      return is === wanted ? sum : sum + coverCost(cover, wanted ? 'off' : 'on');
    }, 0);
  let least = Number.POSITIVE_INFINITY;
  const walk = (done: readonly string[], stand: Stand, spent: number) => {
    if (done.length === tasks.length) {
      least = Math.min(least, spent + restore(stand));
      return;
    }
    for (const task of tasks) {
      if (done.includes(task.id) || task.after.some((other) => !done.includes(other))) continue;
      const [next, cost] = perform(stand, task);
      walk([...done, task.id], next, spent + cost);
    }
  };
  walk(
    [],
    { engine: start.engine, raised: start.raised, covers: start.covers, loader: start.fitted.loader ?? 'on' },
    0,
  );
  return least;
}

const respects = (order: readonly string[], tasks: readonly PlainTask[]) =>
  tasks.every(({ id, after }) => after.every((other) => order.indexOf(other) < order.indexOf(id)));

test('where a start takes longer than getting cold and warm again, the order is not called proven', () => {
  const changes = {
    warmUp: 1,
    coolDown: 0,
    start: 20,
    stop: 0,
    raise: 1,
    lower: 1,
    covers: {},
    fitted: {},
    battery: { off: 1, on: 1 },
  };
  const task = { minutes: 1, raised: 'any', covers: [], fitted: {}, battery: 'any' } as const;
  const tasks: readonly PlainTask[] = [
    { ...task, id: 'look', engine: 'off', after: [] },
    { ...task, id: 'listen', engine: 'running', after: ['look'] },
  ];
  const stand = { raised: 'none', covers: [], fitted: {} } as const;
  const aCase: PlainCase = { tasks, start: { ...stand, engine: 'warm' }, finish: stand, changes };
  expect(orderPlainly(aCase).proven).toBe(false);
  expect(orderPlainly({ ...aCase, changes: { ...changes, start: 1 } }).proven).toBe(true);
});

test('up to eight tasks, in 500 cases: no order takes fewer minutes', () => {
  fc.assert(
    fc.property(cases(false, 8), (aCase) => {
      const found = orderPlainly(aCase);
      expect(found.proven).toBe(true);
      expect([...found.order].sort()).toEqual(aCase.tasks.map(({ id }) => id).sort());
      expect(respects(found.order, aCase.tasks)).toBe(true);
      expect(found.minutes).toBe(leastByTryingAll(aCase));
      // The order told takes the minutes told.
      const told = found.order.map((id, at) => ({
        ...(aCase.tasks.find((task) => task.id === id) ?? fail()),
        after: found.order.slice(0, at),
      }));
      expect(leastByTryingAll({ ...aCase, tasks: told })).toBe(found.minutes);
    }),
    { numRuns: 500, seed: 7 },
  );
}, 120_000);

function fail(): never {
  throw new Error('an id that nobody gave');
}

const blank: Omit<PlainTask, 'id'> = {
  minutes: 10,
  engine: 'any',
  raised: 'any',
  covers: [],
  fitted: {},
  battery: 'any',
  after: [],
};
const task = (id: string, over: Partial<PlainTask>): PlainTask => ({ ...blank, id, ...over });
const plain: PlainCase = {
  tasks: [],
  start: { engine: 'cold', raised: 'none', covers: [], fitted: {} },
  finish: { raised: 'none', covers: [], fitted: {} },
  changes: {
    warmUp: 10,
    coolDown: 45,
    start: 1,
    stop: 1,
    raise: 8,
    lower: 4,
    covers: { hood: { off: 2, on: 3 } },
    fitted: { loader: { off: 12, on: 13 } },
    battery: { off: 3, on: 4 },
  },
};

test('cold before warm, one lift, one removal', () => {
  const tasks = [
    task('drain', { engine: 'warm', covers: ['hood'] }),
    task('grease', { raised: 'front' }),
    task('belt', { engine: 'cold', covers: ['hood'] }),
    task('bolts', { raised: 'front', engine: 'cold' }),
  ];
  expect(orderPlainly({ ...plain, tasks })).toMatchObject({ minutes: 40 + 11 + 12 + 5, proven: true });
});

test('with the battery out nothing warms up: it is warmed up before, though another task comes first', () => {
  const tasks = [
    task('posts', { battery: 'disconnected' }),
    task('drain', { engine: 'warm', battery: 'disconnected', after: ['posts'] }),
  ];
  expect(orderPlainly({ ...plain, tasks })).toEqual({ order: ['posts', 'drain'], minutes: 20 + 11 + 7, proven: true });
});

test('what the battery asks for never makes an order quicker', () => {
  fc.assert(
    fc.property(cases(true, 6), (aCase) => {
      const { order, proven, minutes: found } = orderPlainly(aCase);
      expect(proven).toBe(true);
      expect(respects(order, aCase.tasks)).toBe(true);
      const free = { ...aCase, tasks: aCase.tasks.map((one) => ({ ...one, battery: 'any' as const })) };
      expect(found).toBeGreaterThanOrEqual(orderPlainly(free).minutes);
      const dead = { ...aCase, changes: { ...aCase.changes, battery: { on: 0, off: 0 } } };
      expect(found).toBeGreaterThanOrEqual(orderPlainly(dead).minutes);
    }),
    { numRuns: 100 },
  );
});

test('tasks of equal needs count as one: hundreds in a few classes are proven', () => {
  const tasks = Array.from({ length: 300 }, (_, at) =>
    task(
      `t${at}`,
      [{ engine: 'brief' as const }, { raised: 'front' as const }, { engine: 'warm' as const }][at % 3] ?? {},
    ),
  );
  expect(orderPlainly({ ...plain, tasks })).toMatchObject({ minutes: 3000 + 200 + 12 + 11, proven: true });
});

test('twenty classes, each with a state of its own, are proven', () => {
  const tasks = (['cold', 'warm', 'running', 'off'] as const).flatMap((engine) =>
    (['none', 'front', 'rear'] as const).flatMap((end) =>
      (['on', 'off'] as const).map((loader) =>
        task(`${engine} ${end} ${loader}`, {
          engine,
          raised: end,
          fitted: { loader },
        }),
      ),
    ),
  );
  expect(orderPlainly({ ...plain, tasks: tasks.slice(0, 20) }).proven).toBe(true);
});

test('nothing to do takes what the finish asks for', () => {
  const finish = { raised: 'front' as const, covers: ['hood'], fitted: {} };
  expect(orderPlainly({ ...plain, finish })).toEqual({ order: [], minutes: 10, proven: true });
});
