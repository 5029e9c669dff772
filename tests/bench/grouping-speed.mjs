// Processor time of the two solvers alone: visits for 12, 20 and 40 tasks over 400 days, and orders of 20 tasks in different states.
// Run after a build: node tests/bench/grouping-speed.mjs [folder of the built files]. Figures depend on the computer; compare two
// builds on one computer.
import { pathToFileURL } from 'node:url';
import { figure } from './figure.mjs';
import { classes, costsOf, days, jobs } from './invented-work.mjs';

const built = process.argv[2] ?? new URL('../../dist', import.meta.url).pathname;
const { groupBundles } = await import(pathToFileURL(`${built}/visits/group-tasks.js`).href);
const { orderPlainly } = await import(pathToFileURL(`${built}/sheet/plain-order.js`).href);
const { orderTasks } = await import(pathToFileURL(`${built}/sheet/working-order.js`).href);

function sharedOf(count) {
  return [3, 4, 5].map((every) => ({
    bundles: Array.from({ length: count }, (_, task) => task).filter((task) => task % every === 0),
    saves: 0.05 * every,
    kind: 'each',
  }));
}

function measure(name, times, run, check) {
  run(0);
  const open = [];
  const spent = Array.from({ length: times }, (_, at) => {
    const from = performance.now();
    const found = run(at + 1);
    const ms = performance.now() - from;
    const { proven } = found;
    check(found, at + 1);
    if (!proven) open.push(at);
    return ms;
  }).sort((a, b) => a - b);
  console.log(
    `${name}: ${spent[times >> 1].toFixed(1)} ms, at most ${spent.at(-1).toFixed(1)} ms, ${open.length} of ${times} not proven best`,
  );
  return { ms: spent[times >> 1], notProven: open.length / times };
}

for (const count of [12, 20, 40]) {
  const shared = sharedOf(count);
  const plain = measure(
    `grouping, ${count} tasks, ${days} days`,
    15,
    (at) => groupBundles(costsOf(count, at), 0.2),
    (found, at) => checkGrouping(found, costsOf(count, at), []),
  );
  const sharing = measure(
    `  with shared access`,
    15,
    (at) => groupBundles(costsOf(count, at), 0.2, shared),
    (found, at) => checkGrouping(found, costsOf(count, at), shared),
  );
  if (count === 40) {
    say('grouping of 40 tasks', plain);
    say('grouping of 40 tasks with shared access', sharing);
  }
}

measure(
  'order, 20 tasks in different states',
  10,
  (at) => orderTasks(jobs(at)),
  ({ order }) => checkOrder(order),
);

say(
  'order of 20 classes',
  measure(
    'order, 20 classes, as compute order',
    10,
    (at) => orderPlainly(classes(at)),
    ({ order }) => checkOrder(order),
  ),
);

/** Every task stands once, each group on its day, and the cost is what these days cost; none of it is taken from the solver. */
function checkGrouping({ groups, cost }, costs, shared) {
  onceEach(
    groups.flatMap(({ bundles }) => bundles),
    costs.length,
  );
  let sum = 0;
  for (const { bundles, day } of groups) {
    sum += 0.2;
    for (const task of bundles) sum += costs[task][day];
    for (const { bundles: sharing, saves } of shared)
      sum -= saves * Math.max(0, sharing.filter((task) => bundles.includes(task)).length - 1);
  }
  if (!(Math.abs(sum - cost) < 1e-9)) throw new Error(`a grouping at ${cost} costs ${sum}`);
}

function checkOrder(order) {
  onceEach(
    order.map((id) => Number(id.replace('job-', ''))),
    20,
  );
}

function onceEach(tasks, count) {
  const sorted = [...tasks].sort((a, b) => a - b);
  if (sorted.length !== count || sorted.some((task, at) => task !== at)) throw new Error(`tasks done: ${sorted}`);
}

function say(what, { ms, notProven }) {
  figure(`${what}: time`, [ms], {}, 'ms');
  figure(`${what}: share not proven best (where proven the gap is 0)`, [notProven], { most: 0 });
}
