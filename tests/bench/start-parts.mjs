// Where the start of the service goes: processor time and memory after each of its parts, beside a bare process that loads express,
// better-sqlite3, mqtt and node-cron. Twelve machines (and one that init makes) with ten years of readings and records. Run after a
// build: node tests/bench/start-parts.mjs [runs]. Medians; processor time, so that other work of the computer counts little.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { fillHome } from './long-used-home.mjs';

const self = fileURLToPath(import.meta.url);
const silent = { info: () => {}, warn: () => {}, error: () => {}, debug: () => {} };

if (process.argv[2] === 'bare') await bare();
else if (process.argv[2] === 'ours') await ours(process.argv[3]);
else compare(Number(process.argv[2] ?? 5));

function compare(runs) {
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-bench-'));
  try {
    const home = join(folder, 'home');
    fillHome(folder, home, { machines: 12, years: 10 });
    const parts = new Map();
    for (let run = 0; run < runs; run += 1) {
      for (const args of [['bare'], ['ours', home]]) {
        const flags = ['--expose-gc', ...(args[0] === 'ours' ? ['--optimize-for-size'] : [])];
        const env = { ...process.env, ...(args[0] === 'ours' ? { MALLOC_ARENA_MAX: '2' } : {}) };
        const { stdout } = spawnSync(process.execPath, [...flags, self, ...args], { encoding: 'utf8', env });
        for (const line of stdout.trim().split('\n')) {
          const { part, ...figures } = JSON.parse(line);
          parts.set(part, [...(parts.get(part) ?? []), figures]);
        }
      }
    }
    for (const [part, seen] of parts) {
      const of = (key) => seen.map((one) => one[key]).sort((a, b) => a - b)[seen.length >> 1];
      console.log(
        `${part}: ${of('seconds').toFixed(2)} s of processor time; ${of('resident').toFixed(0)} MB resident, of them ${of('script').toFixed(0)} JavaScript heap in use, ${of('library').toFixed(0)} C library, ${of('node').toFixed(0)} node's own program`,
      );
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function bare() {
  const { default: express } = await import('express');
  const { default: Database } = await import('better-sqlite3');
  await import('mqtt');
  await import('node-cron');
  express();
  new Database(':memory:');
  tell('the bare process');
}

async function ours(homeDir) {
  await import('../../dist/cli/start.js');
  tell('modules and packages loaded');
  const { loadHome } = await import('../../dist/home/load-home.js');
  const { openService } = await import('../../dist/daemon/wire.js');
  const read = loadHome(homeDir, {}, null);
  if (read.kind !== 'home') throw new Error(JSON.stringify(read.faults));
  tell('and the files of the home folder read');
  const service = openService({ homeDir, home: read.home, clock: { nowMs: () => Date.now() }, log: silent });
  if (service.latest().machines.length === 0) throw new Error('no machine was reckoned');
  tell('and all machines reckoned');
  service.close();
}

/** Since the process began: processor time first, because looking at memory costs some. */
function tell(part) {
  const { user, system } = process.cpuUsage();
  globalThis.gc();
  const { rss, heapUsed } = process.memoryUsage();
  const mapped = new Map();
  let where = '';
  for (const line of readFileSync('/proc/self/smaps', 'utf8').split('\n')) {
    const begins = /^[0-9a-f]+-[0-9a-f]+ \S+ \S+ \S+ \S+ *(.*)$/.exec(line);
    if (begins !== null) [, where] = begins;
    const [, held] = /^Rss: +(\d+) kB/.exec(line) ?? [];
    if (held !== undefined) mapped.set(where, (mapped.get(where) ?? 0) + Number(held) / 1024);
  }
  const figures = { seconds: (user + system) / 1e6, resident: rss / 2 ** 20, script: heapUsed / 2 ** 20 };
  console.log(
    JSON.stringify({ part, ...figures, library: mapped.get('[heap]') ?? 0, node: mapped.get(process.execPath) ?? 0 }),
  );
}
