// The closed form against simulated paths of the same model: largest difference of P(reached by a day), and time at equal horizon.
// Run after a build: node tests/bench/forecast-paths.mjs [seed] [machines a family] [folder of the built files]. The fit is made once and
// counts for neither side; the time of the closed form holds what it makes of the fit for each setting (predictCourse) and the chances.
import { pathToFileURL } from 'node:url';
import { figure } from './figure.mjs';

const seed = Number(process.argv[2] ?? 1);
const machines = Number(process.argv[3] ?? 5);
const built = process.argv[4] ?? new URL('../../dist', import.meta.url).pathname;
const load = (file) => import(pathToFileURL(`${built}/${file}`).href);
const { seededRandom, seedFor } = await load('rehearsal/random.js');
const { inventOwners } = await load('rehearsal/scoring/invented-owners.js');
const { layCases } = await load('rehearsal/scoring/lay-cases.js');
const { evidenceFor } = await load('rehearsal/scoring/estimate-for.js');
const { drawFirstPassages, fitForPaths, shareBy } = await load('rehearsal/scoring/simulate-paths.js');
const { estimateHours } = await load('hours/estimate.js');
const { pReached } = await load('hours/at.js');

const dayMs = 86_400_000;
const paths = 10_000;
const days = [7, 14, 30, 60, 90, 120, 180, 270, 365, 450, 540];
/** Readings that are left of a machine's list, in turn. */
const kept = [1, 2, 3, 4, 6, 10, 20, 1000];

const owners = inventOwners(machines, seededRandom(seedFor(seed, 'owners')));
const rows = [];
let closedMs = 0;
let pathsMs = 0;
owners.forEach((owner, i) => {
  const [scored] = layCases(owner, 1, seededRandom(seedFor(seed, `case ${i}`)));
  if (scored === undefined) return;
  const { question } = scored;
  const readings = question.readings.slice(-kept[i % kept.length]);
  for (const season of ['unknown', owner.word]) {
    const evidence = evidenceFor({ ...question, readings, expect: { season } }, false);
    const estimate = estimateHours(evidence, question.nowMs);
    const unread = (question.nowMs - estimate.timeline.origin.atMs) / dayMs;
    const predict = fitForPaths(evidence, question.nowMs);
    const drawn = seedFor(seed, `paths ${i} ${season}`);
    const simulate = () => {
      const model = predict(unread + days.at(-1));
      const passages = drawFirstPassages(model, question.targetHours, paths, seededRandom(drawn));
      return days.map((d) => shareBy(passages, unread, d));
    };
    const simulated = simulate();
    pathsMs += fastest(simulate);
    const closed = () => days.map((d) => pReached(estimate, question.targetHours, question.nowMs + d * dayMs));
    // The estimate less the fit alone is what the closed form makes of the fit.
    const prepared =
      fastest(() => estimateHours(evidence, question.nowMs)) - fastest(() => fitForPaths(evidence, question.nowMs));
    closedMs += prepared + fastest(closed);
    const exact = closed();
    const off = exact.map((p, k) => ({
      day: days[k],
      off: p - simulated[k],
      // Standard error of a share of paths, from the larger of the two.
      beyond: Math.abs(p - simulated[k]) - 3 * Math.sqrt(Math.max(2e-4, simulated[k] * (1 - simulated[k])) / paths),
    }));
    const largest = Math.max(...off.map((one) => Math.abs(one.off)));
    const worst = off.reduce((a, b) => (b.beyond > a.beyond ? b : a));
    rows.push({
      name: owner.name,
      season,
      readings: readings.length,
      settings: estimate.beliefs.length,
      largest,
      isOpen: simulated.some((p) => p > 0.1 && p < 0.9),
      ...worst,
    });
  }
});

/** Milliseconds of the fastest of several runs, as many for either side: other programs only add to it. */
function fastest(work) {
  let ms = Number.POSITIVE_INFINITY;
  for (let i = 0; i < 7; i += 1) {
    const from = performance.now();
    work();
    ms = Math.min(ms, performance.now() - from);
  }
  return ms;
}

// A difference says something only where the chance is open.
if (rows.filter((row) => row.isOpen).length < rows.length / 2) throw new Error('most chances are 0 or 1');
rows.sort((a, b) => b.beyond - a.beyond);
console.log(
  `seed ${seed}: ${rows.length} forecasts of ${owners.length} invented machines, ${paths} paths each, days ${days.join(' ')}`,
);
console.log('closed form less paths, where it is largest beyond three standard errors:');
for (const row of rows.slice(0, 8)) {
  const { name, season, readings, settings, day, off, beyond } = row;
  console.log(
    `  ${off.toFixed(4)} (${Math.max(0, beyond).toFixed(4)} beyond)  day ${day}, ${readings} readings, ${settings} settings: ${name}, word ${season}`,
  );
}
const over = rows.filter((row) => row.beyond > 0.02).length;
console.log(`more than 0.02 beyond three standard errors: ${over} of ${rows.length}`);
console.log(
  `time, fit excluded: closed form ${(closedMs / rows.length).toFixed(2)} ms, paths ${(pathsMs / rows.length).toFixed(1)} ms: ${(pathsMs / closedMs).toFixed(0)} times`,
);
figure('forecast: times as fast as 10,000 simulated paths of the same model (fit excluded)', [pathsMs / closedMs], {
  least: 20,
});
figure('forecast: largest difference in probability to those paths', [Math.max(...rows.map((row) => row.largest))], {
  most: 0.02,
});
