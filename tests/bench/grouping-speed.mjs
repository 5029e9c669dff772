// Processor time of the two solvers alone: visits for 12, 20 and 40 tasks over 400 days, and orders of 20 tasks in different states.
// Run after a build: node tests/bench/grouping-speed.mjs [folder of the built files]. Figures depend on the computer; compare two
// builds on one computer.
import { pathToFileURL } from 'node:url';
import { figure } from './figure.mjs';

const built = process.argv[2] ?? new URL('../../dist', import.meta.url).pathname;
const { groupBundles } = await import(pathToFileURL(`${built}/visits/group-tasks.js`).href);
const { orderPlainly } = await import(pathToFileURL(`${built}/sheet/plain-order.js`).href);
const { orderTasks } = await import(pathToFileURL(`${built}/sheet/working-order.js`).href);

const days = 400;

/** Costs as planning makes them: giving days away before the best one, a rising chance of being late after it. */
function costsOf(count, shift) {
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

function sharedOf(count) {
  return [3, 4, 5].map((every) => ({
    bundles: Array.from({ length: count }, (_, task) => task).filter((task) => task % every === 0),
    saves: 0.05 * every,
    kind: 'each',
  }));
}

function measure(name, times, run) {
  run(0);
  const open = [];
  const spent = Array.from({ length: times }, (_, at) => {
    const from = performance.now();
    const { proven } = run(at + 1);
    const ms = performance.now() - from;
    if (!proven) open.push(at);
    return ms;
  }).sort((a, b) => a - b);
  console.log(
    `${name}: ${spent[times >> 1].toFixed(1)} ms, at most ${spent.at(-1).toFixed(1)} ms, ${open.length} of ${times} not proven best`,
  );
  return { ms: spent[times >> 1], notProven: open.length / times };
}

for (const count of [12, 20, 40]) {
  const plain = measure(`grouping, ${count} tasks, ${days} days`, 15, (at) => groupBundles(costsOf(count, at), 0.2));
  if (count === 40) say('grouping of 40 tasks', plain);
  measure(`  with shared access`, 15, (at) => groupBundles(costsOf(count, at), 0.2, sharedOf(count)));
}

const engines = ['cold', 'warm', 'running', 'off', 'brief'];
const jobs = (at) =>
  Array.from({ length: 20 }, (_, job) => ({
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
measure('order, 20 tasks in different states', 10, (at) => orderTasks(jobs(at)));

/** Twenty tasks, each of a state of its own: engine, end in the air, covers off, a fitting on or off. */
const classes = (at) => ({
  tasks: jobs(at).map(({ id, minutes, needs, after }) => ({
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
say(
  'order of 20 classes',
  measure('order, 20 classes, as compute order', 10, (at) => orderPlainly(classes(at))),
);

function say(what, { ms, notProven }) {
  figure(`${what}: time`, [ms], {}, 'ms');
  figure(`${what}: share not proven best (where proven the gap is 0)`, [notProven], { most: 0 });
}
