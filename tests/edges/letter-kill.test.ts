import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import { fileURLToPath } from 'node:url';
import { simpleParser } from 'mailparser';
import { SMTPServer } from 'smtp-server';
import { afterEach, beforeAll, expect, test } from 'vitest';

// The built service is killed in the middle of handing a letter over: nothing is lost, and at most one letter comes twice.
const built = process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url).href;
const program = fileURLToPath(new URL('main.js', built));
const closers: (() => unknown)[] = [];

beforeAll(() => {
  if (!existsSync(program)) throw new Error('This test kills the built service: run "npm run build" first.');
});
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

type Step = 'sender' | 'data' | 'never';

/** A mail server that notes what it took, and calls out at a step of the conversation before it answers. */
async function startServer() {
  const took: string[] = [];
  let at: { step: Step; call: () => void } = { step: 'never', call: () => {} };
  const server = new SMTPServer({
    hideSTARTTLS: true,
    authOptional: true,
    disabledCommands: ['AUTH'],
    onMailFrom: (_address, _session, answer) => {
      if (at.step === 'sender') at.call();
      else answer();
    },
    onData: (stream, _session, answer) => {
      void text(stream).then(async (raw) => {
        took.push((await simpleParser(raw)).messageId ?? '');
        if (at.step === 'data') at.call();
        else answer();
      });
    },
  });
  server.on('error', () => undefined);
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  closers.push(() => new Promise<void>((done) => server.close(() => done())));
  return {
    took,
    port: (server.server.address() as AddressInfo).port,
    callAt: (step: Step, call: () => void) => {
      at = { step, call };
    },
  };
}

/** A household with work long overdue for two people, on the evening on which it is said. */
function stageHome(smtpPort: number): string {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-letter-kill-'));
  closers.push(() => rmSync(dir, { recursive: true, force: true }));
  mkdirSync(join(dir, 'machines'));
  writeFileSync(
    join(dir, 'household.yaml'),
    `name: Birch End
timezone: Europe/Berlin
workingDays: [mon, tue, wed, thu, fri, sat, sun]
people:
  - { id: ana, name: Ana, mail: ana@birchend.example }
  - { id: olli, name: Olli, mail: olli@birchend.example }
smtp: { host: 127.0.0.1, port: ${smtpPort}, security: plain, from: shed@birchend.example }
`,
  );
  writeFileSync(
    join(dir, 'machines', 'mower.yaml'),
    `name: Meadow mower
plan: library:ride-on-petrol-mower
since: 2028-05-01
meter: { counts: clock, first: { hours: 300, on: 2031-04-01 } }
expect: { hoursPerYear: 40, season: summer }
`,
  );
  return dir;
}

/** Each start is five minutes after the one before. */
let starts = 0;
function start(dir: string): ChildProcess {
  starts += 1;
  const child = spawn(
    process.execPath,
    [program, 'start', '--home', dir, '--now', `2031-04-04T19:${starts * 5 + 10}`],
    {
      env: { ...process.env, SHEDBELL_PORT: '0', SHEDBELL_LOG: 'silent' },
      stdio: 'ignore',
    },
  );
  closers.push(() => child.kill('SIGKILL'));
  return child;
}

/** Runs the service until the server calls out at a step, and kills it there. */
async function killedAt(server: Awaited<ReturnType<typeof startServer>>, dir: string, step: Step): Promise<void> {
  const child = start(dir);
  const dead = once(child, 'exit');
  server.callAt(step, () => child.kill('SIGKILL'));
  await dead;
}

/** Runs the service until both people have their letters, then stops it cleanly. */
async function runToTheEnd(server: Awaited<ReturnType<typeof startServer>>, dir: string, letters: number) {
  server.callAt('never', () => {});
  const child = start(dir);
  const dead = once(child, 'exit');
  await expect.poll(() => new Set(server.took).size, { timeout: 30_000 }).toBe(letters);
  child.kill('SIGTERM');
  await dead;
}

test('killed with the letter in the server’s hands: it comes once more under the same Message-ID, and no other twice', async () => {
  const server = await startServer();
  const dir = stageHome(server.port);
  await killedAt(server, dir, 'data');
  expect(server.took).toHaveLength(1);
  const [doubled = ''] = server.took;
  await runToTheEnd(server, dir, 2);
  expect(server.took.filter((id) => id === doubled)).toHaveLength(2);
  expect(server.took).toHaveLength(3);
  await runToTheEnd(server, dir, 2);
  expect(server.took).toHaveLength(3);
}, 90_000);

test('killed before the server had it: every letter comes exactly once', async () => {
  const server = await startServer();
  const dir = stageHome(server.port);
  await killedAt(server, dir, 'sender');
  expect(server.took).toEqual([]);
  await runToTheEnd(server, dir, 2);
  expect(server.took).toHaveLength(2);
}, 90_000);
