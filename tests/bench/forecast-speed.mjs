// Processor time of the model alone: cases a second through `compute forecast`'s own code, for 1, 12 and 60 readings.
// Run after a build: node tests/bench/forecast-speed.mjs [folder of the built files]. Figures depend on the computer; compare two
// builds on one computer.
import { pathToFileURL } from 'node:url';
import { figure } from './figure.mjs';

const built = process.argv[2] ?? new URL('../../dist', import.meta.url).pathname;
const { computeForecast } = await import(pathToFileURL(`${built}/forecast/compute.js`).href);

const dayMs = 86_400_000;
const startMs = Date.UTC(2031, 2, 1);
const words = ['unknown', 'summer', 'spring-autumn', 'winter'];

/** A machine with a season of its own, read now and then; every case differs a little. */
function aCase(number, readings, years) {
  const nowMs = startMs + number * dayMs;
  const apart = (years * 365) / Math.max(1, readings);
  const list = [];
  let hours = 120 + number;
  for (let i = 0; i < readings; i += 1) {
    const atMs = nowMs - Math.round((readings - i - 0.4) * apart) * dayMs;
    hours +=
      apart * (0.15 + 0.14 * Math.sin((2 * Math.PI * atMs) / dayMs / 365.25 + number) + 0.02 * ((i * 7 + number) % 5));
    list.push({ atMs, hours: Math.round(hours * 10) / 10 });
  }
  return {
    nowMs,
    targetHours: (list.at(-1)?.hours ?? 0) + 20 + (number % 7) * 12,
    readings: list,
    expect: { season: words[number % words.length], hoursPerYear: 60 },
    hemisphere: 'north',
    runs: [],
    coverage: [],
    meters: [],
    notUsedSinceMs: null,
    levels: [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95],
    probeDays: [7, 30, 90, 180, 365],
  };
}

for (const [readings, years, cases] of [
  [1, 1, 200],
  [12, 2, 200],
  [60, 5, 60],
]) {
  for (let i = 0; i < 20; i += 1) computeForecast(aCase(i, readings, years));
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
