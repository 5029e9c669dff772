// What the service costs beside a bare process that loads express, better-sqlite3, mqtt and node-cron and does nothing else: resident
// memory when idle and after a simulated year (started as docker/shedbell.service starts it), time from start to the first page, and the latency of the first page against a bare route that sends the same bytes.
// Twelve machines with ten years of readings and records. Run after a build: node tests/bench/service-cost.mjs [runs] [machines] [years of records] [simulated days, 0 for none]. Figures are ratios
// of one run on one computer.
import { spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import http from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { figure } from './figure.mjs';
import { fillHome } from './long-used-home.mjs';

const runs = Number(process.argv[2] ?? 5);
const machines = Number(process.argv[3] ?? 12);
const years = Number(process.argv[4] ?? 10);
const days = Number(process.argv[5] ?? 365);
const root = new URL('../..', import.meta.url).pathname;
const main = join(root, 'dist/main.js');
const folder = mkdtempSync(join(tmpdir(), 'shedbell-bench-'));
const home = join(folder, 'home');
const port = 8470 + (process.pid % 400);
const agent = new http.Agent({ keepAlive: true, maxSockets: 1 });

// As the unit for systemd starts it.
const unit = readFileSync(join(root, 'docker/shedbell.service'), 'utf8');
const [, flags = ''] = /^ExecStart=\/usr\/bin\/node (.*)\/opt\//m.exec(unit) ?? [];
const [, arenas = ''] = /^Environment=.*MALLOC_ARENA_MAX=(\d+)/m.exec(unit) ?? [];
const asInUnit = { MALLOC_ARENA_MAX: arenas };

const bare = `
import express from 'express'; import Database from 'better-sqlite3'; import mqtt from 'mqtt'; import cron from 'node-cron';
import { readFileSync } from 'node:fs';
const page = process.env.PAGE ? readFileSync(process.env.PAGE) : 'nothing';
const app = express(); app.disable('etag'); void mqtt; new Database(':memory:'); cron.schedule('* * * * *', () => {});
app.get('/', (_q, r) => r.type('html').send(page)); app.listen(Number(process.env.BARE_PORT), '127.0.0.1');
`;

try {
  fillHome(folder, home, { machines, years });
  const rows = { memory: [], lived: [], start: [], latency: [] };
  for (let run = 0; run < runs; run += 1) {
    const ours = await open([...flags.split(' ').filter(Boolean), main, '--home', home, 'start'], port, {
      SHEDBELL_PORT: String(port),
      ...asInUnit,
    });
    await checkAlive();
    const page = join(folder, 'page.html');
    writeFileSync(page, (await get(port)).body);
    const other = await open(['--input-type=module', '-e', bare], port + 1, {
      BARE_PORT: String(port + 1),
      PAGE: page,
    });
    await settled(ours, other);
    rows.memory.push(memoryOf(ours) / memoryOf(other));
    rows.start.push(ours.startMs / other.startMs);
    // In turns, so that whatever else the computer does falls on both.
    const [a, b] = await inTurns([port, port + 1]);
    rows.latency.push(a / b);
    console.log(
      `run ${run + 1}: ${memoryOf(ours).toFixed(0)} and ${memoryOf(other).toFixed(0)} MB, ${ours.startMs.toFixed(0)} and ${other.startMs.toFixed(0)} ms to the first page, ${a.toFixed(2)} and ${b.toFixed(2)} ms a page of ${readFileSync(page).length} bytes`,
    );
    await stop(ours);
    if (days > 0) {
      const old = await liveOn(join(folder, `home-${run}`));
      await settled(old, other);
      rows.lived.push(memoryOf(old) / memoryOf(other));
      console.log(`        ${memoryOf(old).toFixed(0)} MB after ${days} simulated days`);
      await stop(old);
    }
    await stop(other);
  }
  say('resident memory, idle, against the bare process', rows.memory, 1.6);
  if (days > 0) say(`resident memory after ${days} simulated days, against the bare process`, rows.lived, 1.6);
  say('start to first page, against the bare process', rows.start, 2);
  say('latency of the first page, against a bare route', rows.latency, 3);
} finally {
  agent.destroy();
  rmSync(folder, { recursive: true, force: true });
}

/** The same service on a copy of the home, once it has lived the days. */
async function liveOn(copy) {
  cpSync(home, copy, { recursive: true });
  const script = fileURLToPath(new URL('a-year-of-service.mjs', import.meta.url));
  const args = [...flags.split(' ').filter(Boolean), script, copy, String(port), String(days)];
  const child = spawn(process.execPath, args, {
    stdio: ['ignore', 'pipe', 'inherit'],
    cwd: root,
    env: { ...process.env, ...asInUnit },
  });
  await new Promise((done, fail) => {
    child.stdout.once('data', (said) => (String(said).startsWith('lived') ? done() : fail(new Error(String(said)))));
    child.once('exit', (code) => fail(new Error(`ended with ${code}`)));
  });
  return { child };
}

/** A page that only says what is wrong would be quick and small too: well, and every machine is there. */
async function checkAlive() {
  const { status } = JSON.parse((await get(port, '/health')).body);
  const { body } = await get(port, '/machines');
  const missing = Array.from({ length: machines }, (_, m) => `Machine ${m}<`).filter((name) => !body.includes(name));
  if (status !== 'ok' || missing.length > 0) throw new Error(`the service is ${status}, without ${missing.join(', ')}`);
}

async function stop({ child }) {
  child.kill('SIGTERM');
  await new Promise((done) => child.once('exit', done));
}

/** A process, and the milliseconds from its start to its first page. */
async function open(args, at, env) {
  const from = performance.now();
  const child = spawn(process.execPath, args, { env: { ...process.env, ...env }, stdio: 'ignore', cwd: root });
  for (;;) {
    try {
      const { status } = await get(at);
      if (status === 200) return { child, startMs: performance.now() - from };
    } catch {
      // Not listening yet.
    }
    if (child.exitCode !== null) throw new Error(`ended with ${child.exitCode}`);
    await new Promise((done) => setTimeout(done, 5));
  }
}

/** Until neither grows any more: the first turn and the first mails are over; for a look at memory for ten seconds, so that what they left is swept up. */
async function settled(...processes) {
  const enough = days > 0 ? 20 : 1;
  let before = -1;
  for (let i = 0, still = 0; i < 120 && still < enough; i += 1) {
    await new Promise((done) => setTimeout(done, 500));
    const now = processes.reduce((sum, one) => sum + memoryOf(one), 0);
    still = Math.abs(now - before) < 1 ? still + 1 : 0;
    before = now;
  }
}

function memoryOf({ child }) {
  return Number(/VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${child.pid}/status`, 'utf8'))?.[1] ?? 0) / 1024;
}

/** Milliseconds a page from each port, the median of many. */
async function inTurns(ports) {
  const times = ports.map(() => []);
  for (let i = 0; i < 60; i += 1) {
    for (const [k, at] of ports.entries()) {
      const from = performance.now();
      await get(at);
      if (i >= 10) times[k].push(performance.now() - from);
    }
  }
  return times.map(median);
}

function get(at, path = '/') {
  return new Promise((done, fail) => {
    http
      .get({ host: '127.0.0.1', port: at, path, agent }, (response) => {
        let body = '';
        response.setEncoding('utf8');
        response.on('data', (text) => {
          body += text;
        });
        response.on('end', () => done({ status: response.statusCode, body }));
      })
      .on('error', fail);
  });
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}

function say(what, values, most) {
  const sorted = [...values].sort((a, b) => a - b);
  console.log(
    `${what}: ${median(values).toFixed(2)} (${sorted[0].toFixed(2)} to ${sorted.at(-1).toFixed(2)}); aim at most ${most}`,
  );
  figure(`service: ${what}`, values, { most });
}
