// How costs grow with machines, years and tasks: three sizes each, as a table and as a plot in tests/pictures/growth.svg (ignored by git).
// Run after a build: node tests/bench/growth.mjs [--quick]. Milliseconds depend on the computer; the power that they grow with hardly does.
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { scaleLog } from 'd3-scale';
import { line } from 'd3-shape';
import { computeForecast } from '../../dist/forecast/compute.js';
import { orderPlainly } from '../../dist/sheet/plain-order.js';
import { groupBundles } from '../../dist/visits/group-tasks.js';
import { aCase } from './invented-case.mjs';
import { classes, costsOf } from './invented-work.mjs';

const isQuick = process.argv.includes('--quick');
const repeats = isQuick ? 1 : 5;
const picture = new URL('../pictures/growth.svg', import.meta.url);

const panels = [
  grows('forecasts of a household', 'machines', isQuick ? [5, 10, 20] : [10, 100, 1000], (machines) => {
    for (let i = 0; i < machines; i += 1) computeForecast(aCase(i, 12, 1));
  }),
  grows('forecasts of ten machines read monthly', 'years of readings', [1, 3, 10], (years) => {
    for (let i = 0; i < 10; i += 1) computeForecast(aCase(i, 12 * years, years));
  }),
  firstPage('machines', isQuick ? [1, 2, 4] : [3, 6, 12], (machines) => [machines, isQuick ? 1 : 2]),
  firstPage('years of readings', isQuick ? [1, 2, 3] : [1, 3, 10], (years) => [isQuick ? 1 : 3, years]),
  grows('visits over 400 days', 'tasks', [10, 20, 40], (tasks) => groupBundles(costsOf(tasks, 1), 0.2)),
  grows('working order', 'states of work', [5, 10, 20], (count) => orderPlainly(classes(1, count))),
];

console.log('| What | grows with | sizes | milliseconds | power |\n|---|---|---|---|---|');
for (const { what, by, points } of panels) {
  const list = (of) => points.map(of).join(', ');
  console.log(
    `| ${what} | ${by} | ${list(({ size }) => size)} | ${list(({ ms }) => Number(ms.toPrecision(3)))} | ${powerOf(points).toFixed(2)} |`,
  );
}
mkdirSync(new URL('.', picture), { recursive: true });
writeFileSync(picture, draw(panels));
console.log(`\nplot: ${picture.pathname}`);

/** The middle of several runs of each size, after one that only warms up. */
function grows(what, by, sizes, run) {
  run(sizes[0]);
  const points = sizes.map((size) => {
    const spent = Array.from({ length: repeats }, () => {
      const from = process.cpuUsage();
      run(size);
      const used = process.cpuUsage(from);
      return (used.user + used.system) / 1000;
    }).sort((a, b) => a - b);
    return { size, ms: spent[repeats >> 1] };
  });
  return { what, by, points };
}

/** The latency of the first page, as service-cost.mjs measures it on a household of so many machines and years. */
function firstPage(by, sizes, household) {
  const points = sizes.map((size) => {
    const args = [new URL('service-cost.mjs', import.meta.url).pathname, repeats > 1 ? 3 : 1, ...household(size), 0];
    const said = execFileSync(process.execPath, args.map(String), { encoding: 'utf8' });
    const spent = [...said.matchAll(/, ([\d.]+) and [\d.]+ ms a page/g)]
      .map(([, ms]) => Number(ms))
      .sort((a, b) => a - b);
    return { size, ms: spent[spent.length >> 1] };
  });
  return { what: 'first page', by, points };
}

/** p in milliseconds ~ size^p, by least squares of the logs. */
function powerOf(points) {
  const xs = points.map(({ size }) => Math.log(size));
  const ys = points.map(({ ms }) => Math.log(ms));
  const middle = (list) => list.reduce((sum, one) => sum + one, 0) / list.length;
  const [x0, y0] = [middle(xs), middle(ys)];
  const over = xs.reduce((sum, x, i) => sum + (x - x0) * (ys[i] - y0), 0);
  return over / xs.reduce((sum, x) => sum + (x - x0) ** 2, 0);
}

/** A small drawing for each, both axes in powers of ten, so that a straight line is a power and its slope says which. */
function draw(all) {
  const [wide, high] = [300, 210];
  const inside = { left: 58, right: 18, top: 44, bottom: 42 };
  const cells = all.map(({ what, by, points }, i) => {
    const sizes = points.map(({ size }) => size);
    const costs = points.map(({ ms }) => ms);
    const x = scaleLog([sizes[0] / 1.2, sizes.at(-1) * 1.2], [inside.left, wide - inside.right]);
    const y = scaleLog([Math.min(...costs) / 1.6, Math.max(...costs) * 1.6], [high - inside.bottom, inside.top]);
    const path = line(
      ({ size }) => x(size),
      ({ ms }) => y(ms),
    )(points);
    const marks = points.map(
      ({ size, ms }) =>
        `<circle cx="${x(size)}" cy="${y(ms)}" r="3"/><text class="number" x="${x(size)}" y="${y(ms) - 8}">${Number(ms.toPrecision(2))}</text><text class="scale" x="${x(size)}" y="${high - inside.bottom + 16}">${size}</text>`,
    );
    return `<g transform="translate(${(i % 3) * wide},${Math.floor(i / 3) * high})"><text class="title" x="${inside.left}" y="18">${what}</text><text class="said" x="${inside.left}" y="33">milliseconds, ~ ${by}^${powerOf(points).toFixed(2)}</text><path class="axis" d="M${inside.left},${inside.top}V${high - inside.bottom}H${wide - inside.right}"/><path class="line" d="${path}"/>${marks.join('')}<text class="scale" x="${(inside.left + wide - inside.right) / 2}" y="${high - 8}">${by}</text></g>`;
  });
  const [width, height] = [3 * wide, Math.ceil(all.length / 3) * high];
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}"><title>How costs grow</title><style>text{font:12px "DejaVu Sans",sans-serif;fill:#1f2a30}.title{font-weight:bold}.said{font-size:11px}.number,.scale{font-size:11px;text-anchor:middle}path{fill:none}.axis{stroke:#55636a}.line{stroke:#8a3b12;stroke-width:1.6}circle{fill:#8a3b12}</style><rect width="${width}" height="${height}" fill="#faf7ef"/>${cells.join('')}</svg>\n`;
}
