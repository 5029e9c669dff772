import { execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { appendFileSync, copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { dayMs } from '../../src/domain/day.js';

const root = new URL('../..', import.meta.url).pathname;
const program = join(root, 'dist/main.js');
const readme = readFileSync(join(root, 'README.md'), 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'shedbell-readme-'));
const startMs = Date.now();

/** Lines to type that stand in the README by themselves, in its order, without their remarks. */
const typed = readme
  .split('\n')
  .flatMap((line) => /^ {4}((?:npx |node |npm |git |cp |systemctl |printf |shedbell ).*)$/.exec(line)?.[1] ?? [])
  .map((line) => line.replace(/\s{2,}#.*$/, ''));

/** Lines that are not run here, and what runs or checks them instead. */
const elsewhere = new Map([
  ['npm ci && npm run demo', 'tests/loop/demo.test.ts'],
  ['npm ci && npm test', 'this run'],
  [
    'git clone YOUR-COPY /opt/shedbell && cd /opt/shedbell && npm ci && npm prune --omit=dev --ignore-scripts',
    'packaging',
  ],
  ['cp docker/shedbell.service /etc/systemd/system/ && systemctl daemon-reload', 'needs systemd as first process'],
  ['systemctl enable --now shedbell', 'needs systemd as first process'],
  [
    "printf '[Service]\\nReadWritePaths=-/media/stick\\n' > /etc/systemd/system/shedbell.service.d/stick.conf",
    'needs systemd as first process',
  ],
  ['systemctl daemon-reload && systemctl restart shedbell', 'needs systemd as first process'],
  ['shedbell feed bank-tractor --watch', 'runs until it is stopped, on a real broker in tests/edges'],
]);

/** A program line as the README shows it, run in the folder; the days between two lines pass. */
async function type(line: string, at: number): Promise<{ readonly status: number; readonly said: string }> {
  const now = new Date(startMs + at * dayMs).toISOString();
  const own = `'${process.execPath}' '${program}'`;
  const command = line
    .replace('node dist/main.js init /var/lib/shedbell', `${own} init ${folder}/installed`)
    .replace('demo-data/', `${root}demo-data/`)
    .replace('demo-data/usage', `${root}demo-data/usage`)
    .replace(/(^|\| )(?:npx )?shedbell /, `$1${own} --now ${now} `);
  try {
    const { stdout, stderr } = await promisify(execFile)('bash', ['-c', command], {
      cwd: folder,
      env: { ...process.env, SHEDBELL_HOME: '' },
      maxBuffer: 1e8,
    });
    return { status: 0, said: stdout + stderr };
  } catch (failed) {
    const { code, stdout, stderr } = failed as { code: number; stdout: string; stderr: string };
    return { status: code, said: stdout + stderr };
  }
}

/** The block of lines after a sentence of the README. */
function shownAfter(sentence: string): string {
  const [, block = ''] = readme.slice(readme.indexOf(sentence)).match(/\n\n((?: {4}.*\n)+)/) ?? [];
  return block.replaceAll(/^ {4}/gm, '');
}

/** The first of the README's sensors, for the second tractor. */
function addSensor(): void {
  const [, sensor = 'no sensor'] = /^ {4}(feed: \{ kind: run-seconds.*\})/m.exec(readme) ?? [];
  appendFileSync(join(folder, 'shed/machines/bank-tractor.yaml'), `${sensor}\n`);
  appendFileSync(join(folder, 'shed/household.yaml'), 'mqtt: { url: mqtt://127.0.0.1:9 }\n');
}

beforeAll(() => {
  writeFileSync(join(folder, 'readings.csv'), shownAfter('Readings have `day`'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('every line that the README shows to type does what it says, one after the other in one home', async () => {
  const said = new Map<string, string>();
  let visit = '';
  let reading = '';
  for (const [index, line] of typed.entries()) {
    if (elsewhere.has(line) || line === 'npx shedbell start') continue;
    if (line === 'shedbell password') {
      expect(await type("printf 'a long one to remember\\n' | shedbell password", index)).toMatchObject({ status: 0 });
      continue;
    }
    if (line === 'shedbell feed bank-tractor') addSensor();
    const result = await type(line.replace('VISIT', visit).replace('reading-7', reading), index);
    expect(result, line).toMatchObject({ status: 0 });
    said.set(line, result.said);
    // "Copy them for more": the day by day is that of a second tractor.
    if (line.startsWith('npx shedbell init'))
      copyFileSync(join(folder, 'shed/machines/hill-tractor.yaml'), join(folder, 'shed/machines/bank-tractor.yaml'));
    reading = /\breading-\d+/.exec(result.said)?.[0] ?? reading;
    if (line === 'shedbell visits') visit = /^bank-tractor-[\w-]+/m.exec(result.said)?.[0] ?? 'none';
  }
  const wordsOf = (line: string) => said.get(line) ?? `not typed: ${line}`;
  expect(wordsOf('npx shedbell check')).toContain('is in order');
  expect(wordsOf('shedbell import readings.csv --machine hill-tractor --dry-run')).toContain('nothing was');
  expect(wordsOf('shedbell import readings.csv --machine hill-tractor')).toContain('2 readings and 0 records imported');
  expect(wordsOf('shedbell reading bank-tractor 214.6')).toContain('214.6 h is written down');
  expect(wordsOf('shedbell status bank-tractor')).toMatch(/engine oil/i);
  expect(wordsOf('shedbell backup shed-2026.sqlite')).toContain('shed-2026.sqlite');
  const rehearsal = [...said.keys()].find((line) => line.includes('rehearse')) ?? '';
  expect(JSON.parse(wordsOf(rehearsal))).toHaveProperty('machines');
  const asked = [...said.keys()].find((line) => line.includes('compute forecast')) ?? '';
  const answered: unknown = JSON.parse(wordsOf(asked));
  expect(answered).toMatchObject({ id: 'a' });
  expect(JSON.parse(shownAfter('answers each with one line'))).toEqual(answered);
}, 300_000);

test('the start line opens the page', async () => {
  const port = await freePort();
  const service = spawn(process.execPath, [program, 'start'], {
    cwd: folder,
    env: { ...process.env, SHEDBELL_HOME: '', SHEDBELL_PORT: String(port) },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = once(service, 'exit');
  try {
    await once(service.stdout, 'data');
    expect((await fetch(`http://127.0.0.1:${port}/`)).status).toBe(200);
  } finally {
    service.kill('SIGTERM');
  }
  expect(await ended).toEqual([0, null]);
}, 60_000);

test('no line is left out without a reason, and no reason without a line', () => {
  expect(typed.length).toBeGreaterThan(20);
  expect([...elsewhere.keys()].filter((line) => !typed.includes(line))).toEqual([]);
});

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  server.close();
  await once(server, 'close');
  if (address === null || typeof address === 'string') throw new Error('no port');
  return address.port;
}
