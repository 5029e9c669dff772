// Processor time of the model alone: cases a second through `compute forecast`'s own code, for 1, 12 and 60 readings.
// Run after a build: node tests/bench/forecast-speed.mjs [folder of the built files]. Figures depend on the computer; compare two
// builds on one computer.
import { pathToFileURL } from 'node:url';
import { figure } from './figure.mjs';
import { aCase } from './invented-case.mjs';

const built = process.argv[2] ?? new URL('../../dist', import.meta.url).pathname;
const { computeForecast } = await import(pathToFileURL(`${built}/forecast/compute.js`).href);

for (const [readings, years, cases] of [
  [1, 1, 200],
  [12, 2, 200],
  [60, 5, 60],
]) {
  for (let i = 0; i < 20; i += 1) {
    const asked = aCase(i, readings, years);
    const { dueDays, dueWithin } = computeForecast(asked);
    if (dueDays.length !== asked.levels.length || !dueWithin.every((p) => p >= 0 && p <= 1))
      throw new Error(`case ${i} was not answered`);
  }
  const before = process.cpuUsage();
  for (let i = 0; i < cases; i += 1) computeForecast(aCase(i, readings, years));
  const used = process.cpuUsage(before);
  const ms = (used.user + used.system) / 1000 / cases;
  console.log(
    `${readings} readings over ${years} years: ${ms.toFixed(2)} ms a case, ${(1000 / ms).toFixed(0)} cases a second`,
  );
  if (readings === 60)
    figure('forecast: processor time of a machine, 60 readings in five years', [ms], { most: 15 }, 'ms');
}
