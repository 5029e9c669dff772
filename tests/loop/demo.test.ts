import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeAll, describe, expect, test } from 'vitest';

const built = fileURLToPath(new URL('main.js', process.env.SHEDBELL_BUILT ?? new URL('../../dist/', import.meta.url)));
/** It lives through fourteen months before its page opens, maybe on a busy computer. */
const longMs = 240_000;
const closers: (() => unknown)[] = [];

beforeAll(() => {
  if (!existsSync(built)) throw new Error('This test starts the built demo: run "npm run build" first.');
});

afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** A demo in a process of its own, with a temporary folder of its own. */
function startDemo(port: number) {
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-demo-test-'));
  const child: ChildProcess = spawn(process.execPath, [built, 'demo'], {
    env: { ...process.env, TMPDIR: folder, SHEDBELL_PORT: String(port) },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const lines: string[] = [];
  const waiting: { readonly words: RegExp; readonly found: () => void }[] = [];
  for (const stream of [child.stdout, child.stderr]) {
    if (stream === null) continue;
    createInterface({ input: stream }).on('line', (line) => {
      lines.push(line);
      for (const { words, found } of waiting) if (words.test(line)) found();
    });
  }
  const ended = once(child, 'close').then(([status]) => status);
  closers.push(async () => {
    if (child.exitCode === null) child.kill('SIGKILL');
    await ended;
    rmSync(folder, { recursive: true, force: true });
  });
  return {
    lines,
    ended,
    left: () => readdirSync(folder),
    stop: (signal: NodeJS.Signals) => child.kill(signal),
    says: (words: RegExp) =>
      Promise.race([
        new Promise<void>((found) => {
          waiting.push({ words, found });
          if (lines.some((line) => words.test(line))) found();
        }),
        ended.then(() => {
          if (!lines.some((line) => words.test(line))) throw new Error(`it ended and said: ${lines.join(' | ')}`);
        }),
      ]),
  };
}

async function listenSomewhere(): Promise<{ port: number; close: () => Promise<void> }> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('no port');
  return { port: address.port, close: () => new Promise<void>((done) => server.close(() => done())) };
}

async function freePort(): Promise<number> {
  const { port, close } = await listenSomewhere();
  await close();
  return port;
}

describe('the demo', () => {
  test('says that its port is taken before it lives through anything, and exits 1', { timeout: longMs }, async () => {
    const taken = await listenSomewhere();
    closers.push(taken.close);
    const demo = startDemo(taken.port);
    expect(await demo.ended).toBe(1);
    expect(demo.lines).toEqual([
      `Port ${taken.port} is taken by another program. Choose another port with SHEDBELL_PORT, such as SHEDBELL_PORT=8400.`,
    ]);
    expect(demo.left()).toEqual([]);
  });

  test.each(['SIGTERM', 'SIGINT'] as const)(
    'ends at once on %s while it lives through its months, and leaves nothing behind',
    { timeout: longMs },
    async (signal) => {
      const demo = startDemo(await freePort());
      await demo.says(/^Living through the last 14 months/);
      demo.stop(signal);
      expect(await demo.ended).toBe(0);
      expect(demo.lines).toHaveLength(1);
      expect(demo.left()).toEqual([]);
    },
  );

  test('opens its page on real history, and removes its folder when it ends', { timeout: longMs }, async () => {
    const port = await freePort();
    const demo = startDemo(port);
    await demo.says(/^Ctrl-C ends the demo/);
    expect(demo.lines.filter((line) => line.startsWith('… ')).length).toBeGreaterThanOrEqual(4);
    expect(demo.lines).toContain(`Larch Bank is open at http://localhost:${port}`);

    const page = async (path: string) => {
      const answer = await fetch(`http://127.0.0.1:${port}${path}`);
      expect(answer.status).toBe(200);
      return (await answer.text()).replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
    };
    expect(await page('/')).toMatch(/bank tractor/i);
    const counted = /Its sensor has counted ([\d.]+) h/.exec(await page('/machines/bank-tractor'))?.[1];
    expect(Number(counted)).toBeGreaterThan(20);
    expect(await page('/notices')).toMatch(/It went out as a file/);

    const outbox = demo.lines
      .map((line) => /kept as files in (.*)$/.exec(line)?.[1])
      .find((path) => path !== undefined);
    const letters = readdirSync(outbox ?? '');
    expect(letters.filter((name) => name.endsWith('.eml')).length).toBeGreaterThan(20);

    demo.stop('SIGTERM');
    expect(await demo.ended).toBe(0);
    expect(demo.left()).toEqual([]);
  });
});
