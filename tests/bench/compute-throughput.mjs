// `shedbell compute forecast` as a command: cases a second, and the most memory it held, for many lines. Run after a build:
// node tests/bench/compute-throughput.mjs [lines] [most readings a line] [folder of the built files]. Memory must not grow with the lines.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { figure } from './figure.mjs';

const lines = Number(process.argv[2] ?? 2000);
const mostReadings = Number(process.argv[3] ?? 60);
const built = process.argv[4] ?? new URL('../../dist', import.meta.url).pathname;
const dayMs = 86_400_000;
const words = ['unknown', 'summer', 'even', 'winter'];

/** A machine read every few weeks, for half a year to five years; every case differs a little. */
function aCase(number) {
  const count = 2 + ((number * 7) % (mostReadings - 1));
  const nowMs = Date.UTC(2031, 0, 1) + (number % 1461) * dayMs;
  const readings = [];
  let hours = 100 + (number % 800);
  for (let i = 0; i < count; i += 1) {
    const atMs = nowMs - Math.round((count - i - 0.4) * 30) * dayMs;
    hours += 6 + 5 * Math.sin((2 * Math.PI * atMs) / dayMs / 365.25 + number) + ((i * 7 + number) % 5) / 2;
    readings.push({ at: `${new Date(atMs).toISOString().slice(0, 19)}Z`, hours: Math.round(hours * 10) / 10 });
  }
  return {
    id: number,
    now: `${new Date(nowMs).toISOString().slice(0, 19)}Z`,
    targetHours: Math.round(hours) + 20 + (number % 7) * 12,
    readings,
    expect: { season: words[number % words.length] },
    levels: [0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975],
    probeDays: [7, 14, 30, 60, 90, 180, 365, 548],
  };
}

const child = spawn(process.execPath, [`${built}/main.js`, 'compute', 'forecast'], {
  stdio: ['pipe', 'pipe', 'inherit'],
});
const memoryMb = () => {
  const held = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${child.pid}/status`, 'utf8'));
  return held === null ? null : Number(held[1]) / 1024;
};
let answered = 0;
let failed = 0;
let tail = '';
const peaks = [];
let halfMs = 0;
const from = performance.now();
child.stdout.setEncoding('utf8');
child.stdout.on('data', (text) => {
  const parts = (tail + text).split('\n');
  tail = parts.pop() ?? '';
  for (const part of parts) {
    answered += 1;
    if (answered === lines / 2) halfMs = performance.now() - from;
    if (part.includes('"error"') || !part.includes('"dueDays":[')) failed += 1;
    // A process that has just ended holds nothing any more: the most that was seen of it stands.
    if (answered % Math.ceil(lines / 10) === 0) peaks.push(memoryMb() ?? peaks.at(-1) ?? Number.NaN);
  }
});
for (let i = 0; i < lines; i += 1) {
  if (!child.stdin.write(`${JSON.stringify(aCase(i))}\n`)) await once(child.stdin, 'drain');
}
child.stdin.end();
const [status] = await once(child, 'close');
const seconds = (performance.now() - from) / 1000;
console.log(
  `${answered} answers to ${lines} lines, ${failed} errors, exit status ${status}: ${(answered / seconds).toFixed(0)} cases a second`,
);
if (answered !== lines || failed > 0 || status !== 0) throw new Error('not every line was answered');
console.log(`most memory held by each tenth of the lines, MB: ${peaks.map((mb) => mb.toFixed(0)).join(' ')}`);
figure('forecast of 1,000 machines: time of each', [(1000 * seconds) / answered], { most: 15 }, 'ms');
figure(
  'forecast of 1,000 machines: time of the later half to the earlier (linear: 1)',
  [(1000 * seconds - halfMs) / halfMs],
  { most: 1.1 },
);
figure('forecast of 1,000 machines: most memory held at the end to half way (flat: 1)', [peaks.at(-1) / peaks[4]], {
  most: 1.1,
});
