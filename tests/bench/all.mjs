// One table of what forecasts, feeds, the service and the solvers cost: a line each, median and spread of the runs, the aim and whether the
// median reaches it; then how costs grow with machines, years and tasks. Run after a build: node tests/bench/all.mjs [--quick]. Quick: one short run, to see that every line is there; its figures
// mean little. Each line's ratio is made within one run on one computer. A missed aim is said in the table and does not fail the command.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { figuresIn } from './figure.mjs';

const isQuick = process.argv.includes('--quick');
const runs = isQuick ? 1 : 5;
const each = (part, args) => Array.from({ length: runs }, (_, run) => [part, args(run)]);
const plan = [
  ...each('forecast-paths', (run) => [run + 1, 1]),
  ...each('forecast-speed', () => []),
  ...each('compute-throughput', () => [isQuick ? 100 : 1000, 60]),
  ['feed-speed', isQuick ? [300, 1] : [2000, runs]],
  ...each('feed-writes', () => [isQuick ? 1 : 3]),
  ['service-cost', isQuick ? [1, 1, 1, 14] : [runs]],
  ...each('grouping-speed', () => []),
];

const lines = new Map();
for (const [part, args] of plan) {
  process.stderr.write(`${part} ${args.join(' ')}\n`);
  for (const found of figuresIn(await output(part, args))) {
    const before = lines.get(found.figure)?.values ?? [];
    lines.set(found.figure, { ...found, values: [...before, ...found.values] });
  }
}

console.log('| Measured | Median | Spread | Aim | Reached |\n|---|---|---|---|---|');
for (const { figure, values, aim, unit } of lines.values()) {
  const sorted = [...values].sort((a, b) => a - b);
  const median = sorted[Math.floor(sorted.length / 2)];
  const isReached =
    median <= (aim.most ?? Number.POSITIVE_INFINITY) && median >= (aim.least ?? Number.NEGATIVE_INFINITY);
  const bound =
    aim.most !== undefined ? `at most ${aim.most}` : aim.least !== undefined ? `at least ${aim.least}` : 'none';
  const reached = bound === 'none' ? '' : isReached ? 'yes' : 'no';
  const say = (value) => `${Number(value.toPrecision(3))}${unit === '' ? '' : ` ${unit}`}`;
  console.log(`| ${figure} | ${say(median)} | ${say(sorted[0])} to ${say(sorted.at(-1))} | ${bound} | ${reached} |`);
}

process.stderr.write('growth\n');
console.log(`\n${await output('growth', isQuick ? ['--quick'] : [])}`.trimEnd());

/** What a part printed; its failure ends the table. */
async function output(part, args) {
  const file = new URL(`${part}.mjs`, import.meta.url).pathname;
  const child = spawn(process.execPath, [file, ...args.map(String)], { stdio: ['ignore', 'pipe', 'inherit'] });
  let text = '';
  child.stdout.setEncoding('utf8').on('data', (more) => {
    text += more;
  });
  const [status] = await once(child, 'close');
  if (status !== 0) throw new Error(`${part} ended with ${status}\n${text}`);
  return text;
}
