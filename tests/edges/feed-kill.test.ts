import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import mqtt from 'mqtt';
import { afterEach, beforeAll, expect, test } from 'vitest';
import type { Feed } from '../../src/domain/machine.js';
import { homeWith, machineWith, runSeconds } from '../stage/feeds.js';
import { type Mosquitto, startMosquitto } from '../stage/mosquitto.js';

const child = fileURLToPath(new URL('../stage/feed-child.mjs', import.meta.url));
const built = fileURLToPath(new URL('../../dist/feed/watch.js', import.meta.url));
/** The counter counts thousandths, so that hundreds of rises fit into the slack of the wall-clock allowance. */
const feed: Feed = { ...runSeconds, scale: 0.001 };
const messages = 300;
const stepRaw = 5;
const seed = Number(process.env.SHEDBELL_SEED ?? 20_310_614);
const closers: (() => unknown)[] = [];

beforeAll(() => {
  if (process.env.SHEDBELL_BUILT === undefined && !existsSync(built)) {
    throw new Error('This test kills the built service: run "npm run build" first.');
  }
});

afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** A small generator, so that a seed decides where the service dies. */
function seeded(start: number): () => number {
  let state = start >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
}

/** Starts one life of the service; resolves when it is connected, or dead. */
function live(peer: Mosquitto, protocol: string, stateFile: string, killAt: number, killWhen: 'before' | 'after') {
  const settings = {
    url: peer.url,
    protocol,
    home: homeWith([]),
    machine: machineWith(feed),
    stateFile,
    killAt,
    killWhen,
    last: (messages * stepRaw) / 1000,
  };
  const running: ChildProcess = spawn(process.execPath, [child, JSON.stringify(settings)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  closers.push(() => running.kill('SIGKILL'));
  const exited = once(running, 'exit').then(() => 'dead' as const);
  const words = new Map<string, () => void>();
  if (running.stdout !== null) createInterface({ input: running.stdout }).on('line', (word) => words.get(word)?.());
  const said = <Word extends string>(word: Word) =>
    new Promise<Word>((resolve) => words.set(word, () => resolve(word)));
  return { exited, connected: said('connected'), done: said('done'), end: () => running.kill('SIGKILL') };
}

test.each([
  ['3.1.1', 0],
  ['3.1.1', 1],
  ['5', 0],
  ['5', 1],
] as const)(
  'over MQTT %s every second is counted once, wherever the service is killed (round %d)',
  async (protocol, round) => {
    const random = seeded(seed + 2 * round + (protocol === '5' ? 1 : 0));
    const peer = await startMosquitto();
    closers.push(() => peer.remove());
    const folder = mkdtempSync(join(tmpdir(), 'shedbell-kill-'));
    closers.push(() => rmSync(folder, { recursive: true, force: true }));
    const stateFile = join(folder, 'state.json');
    const deaths = Array.from({ length: 4 }, (_, i) => ({
      at: 1 + Math.floor(random() * 60),
      when: (i + round) % 2 === 0 ? ('before' as const) : ('after' as const),
    }));

    const [first = { at: 1, when: 'before' as const }, ...later] = deaths;
    let life = live(peer, protocol, stateFile, first.at, first.when);
    await life.connected;
    await peer.logged(/Sending SUBACK to shedbell-child/);
    const sensor = await mqtt.connectAsync(peer.url, { clientId: 'sensor' });
    closers.push(() => sensor.endAsync(true));
    const published = Promise.all(
      Array.from({ length: messages + 1 }, (_, i) => sensor.publishAsync(feed.topic, String(i * stepRaw), { qos: 1 })),
    );

    let died = 0;
    for (const death of [...later, { at: -1, when: 'before' as const }]) {
      expect(await Promise.race([life.exited, life.done])).toBe('dead');
      died += 1;
      life = live(peer, protocol, stateFile, death.at, death.when);
    }
    await life.done;
    await published;
    life.end();
    await life.exited;
    const kept: unknown = JSON.parse(readFileSync(stateFile, 'utf8'));
    expect(died).toBe(deaths.length);
    expect(kept, `seed ${seed}`).toMatchObject({ totalSeconds: (messages * stepRaw) / 1000 });
  },
);
