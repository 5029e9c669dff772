// Work for the solvers to put together and in order, made up for benches.
export const days = 400;

/** Costs as planning makes them: giving days away before the best one, a rising chance of being late after it. */
export function costsOf(count, shift) {
  return Array.from({ length: count }, (_, task) => {
    const best = (task * 47 + shift * 13) % days;
    const interval = [90, 180, 365, 730][task % 4];
    return Array.from({ length: days }, (__, day) =>
      day <= best
        ? Math.min(1, (best - day) / interval)
        : (day - best) / interval + 8 * (1 - Math.exp((best - day) / 60)),
    );
  });
}

const engines = ['cold', 'warm', 'running', 'off', 'brief'];
/** So many tasks of different needs. */
export const jobs = (at, count = 20) =>
  Array.from({ length: count }, (_, job) => ({
    id: `job-${job}`,
    minutes: 5,
    needs: {
      engine: engines[(job + at) % 5],
      raised: ['none', 'front', 'rear', 'any'][(job * 3 + at) % 4],
      covers: [['hood'], ['panel'], [], ['hood', 'panel']][job % 4],
      ...(job % 3 === 0 ? { fitted: { loader: job % 2 === 0 ? 'off' : 'on' } } : {}),
    },
    after: job % 6 === 5 ? [`job-${job - 3}`] : [],
  }));

/** So many tasks, each of a state of its own: engine, end in the air, covers off, a fitting on or off. */
export const classes = (at, count = 20) => ({
  tasks: jobs(at, count).map(({ id, minutes, needs, after }) => ({
    id,
    minutes,
    engine: needs.engine,
    raised: needs.raised,
    covers: needs.covers,
    fitted: needs.fitted ?? {},
    battery: 'any',
    after,
  })),
  start: { engine: 'cold', raised: 'none', covers: [], fitted: { loader: 'on' } },
  finish: { raised: 'none', covers: [], fitted: { loader: 'on' } },
  changes: {
    warmUp: 10,
    coolDown: 30,
    start: 1,
    stop: 1,
    raise: 4,
    lower: 3,
    covers: { hood: { off: 1, on: 1 }, panel: { off: 5, on: 6 } },
    fitted: { loader: { on: 8, off: 7 } },
    battery: { on: 0, off: 0 },
  },
});
