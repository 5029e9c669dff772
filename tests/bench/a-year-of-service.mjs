// The service with its doors open lives days of its own clock in a row: woken every six hours, each machine read once a fortnight, the
// first page and a machine's page asked for once a week. Prints "lived" when it is through, and stays until it is told to stop: what it
// then holds in memory is what service-cost.mjs measures. Not for itself: node tests/bench/a-year-of-service.mjs HOME PORT DAYS
import http from 'node:http';
import { join } from 'node:path';
import { serve } from '../../dist/daemon/serve.js';
import { openService } from '../../dist/daemon/wire.js';
import { loadHome } from '../../dist/home/load-home.js';
import { enterReading } from '../../dist/ledger/enter-reading.js';

const [homeDir, port, days] = [process.argv[2], Number(process.argv[3]), Number(process.argv[4])];
const stepMs = 6 * 3_600_000;
const log = {
  info: () => {},
  warn: () => {},
  debug: () => {},
  error: (...said) => console.error(JSON.stringify(said)),
};

let nowMs = Date.now();
const clock = { nowMs: () => nowMs };
const read = loadHome(homeDir, {});
if (read.kind !== 'home') throw new Error(JSON.stringify(read.faults));
const { home } = read;
const service = openService({ homeDir, home, clock, log });
const serving = await serve({ service, homeDir, host: '127.0.0.1', port, log, monotonicMs: () => nowMs });
// As a client of node:http, which the service has loaded anyway: fetch would be some 8 MB of this process that the service does not need.
const page = (path) =>
  new Promise((done, fail) => {
    const asked = http.get({ host: '127.0.0.1', port: serving.port, path, agent: false }, (answer) => {
      answer.resume();
      answer.once('end', () =>
        answer.statusCode === 200 ? done() : fail(new Error(`${path} answered ${answer.statusCode}`)),
      );
    });
    asked.once('error', fail);
  });

const steps = (days * 86_400_000) / stepMs;
for (let step = 1; step <= steps; step += 1) {
  nowMs += stepMs;
  await serving.wake();
  const day = (step * stepMs) / 86_400_000;
  if (day % 7 === 0) {
    await page('/');
    await page(`/machines/${home.machines[(day / 7) % home.machines.length].id}`);
  }
  if (day % 14 === 0)
    for (const { machine, hoursNow } of service.latest().machines) if (hoursNow !== null) enter(machine, hoursNow.p50);
}
console.log(`lived ${days} days: ${join(homeDir, 'data')}`);
process.once('SIGTERM', () => void serving.close());

function enter(machine, hours) {
  const entered = {
    machine,
    hours: Math.round(hours * 10) / 10,
    atMs: nowMs,
    by: null,
    door: 'page',
    confirm: true,
    key: null,
  };
  enterReading(service.books, entered);
}
