import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { Feed } from '../../src/domain/machine.js';
import { parseFeedState } from '../../src/feed/state.js';
import { seededRandom, seedFor } from '../../src/rehearsal/random.js';
import { feedMemoryOf, feedTotalsOf } from '../../src/store/facts/feed-totals.js';
import { runsOf } from '../../src/store/facts/runs.js';
import { openStore } from '../../src/store/open.js';
import { homeWith, lengthSeconds, machineWith } from './feeds.js';
import { startMosquitto } from './mosquitto.js';
import { openNetwork } from './network.js';
import { startSensor } from './sensor.js';

const child = fileURLToPath(new URL('feed-service.mjs', import.meta.url));
const fence = 'yard/fence';
const silentAfterMinutes = 15;
const common = { scale: 1, offset: 0, silentAfterMinutes };
const counting: Feed = { ...common, kind: 'run-seconds', topic: 'yard/mower/seconds', pointer: '/seconds' };
const saying: Feed = {
  ...common,
  kind: 'running',
  topic: 'yard/mower/state',
  pointer: '/state',
  timePointer: '/at',
  yes: ['run'],
  no: ['stop'],
};

export interface RoundPlan {
  readonly seed: number;
  readonly messages: number;
  readonly protocol: '3.1.1' | '5';
  readonly style: 'small' | 'bursts';
  /** The sensor's counter starts from zero with most starts of the engine; it then sends one message at a time, so that what it sends
   *  twice is never older than what was taken: an older small value cannot be told from a restart. */
  readonly restarts: boolean;
  /** Whether the counter's own time is read, too. */
  readonly tellsTime: boolean;
  readonly faults: number;
  /** How much faster than ours the clock of service and sensor runs. */
  readonly speed: number;
  readonly paceMs: number;
}

export interface RoundResult {
  /** Counted less true, seconds. */
  readonly counterError: number;
  /** Above zero only where the broker took a no, said so, and lost it as it was killed: the run then lasts to the next word that is heard,
   *  less than one report interval too long. Nothing that reaches the service could tell it. */
  readonly wordError: number;
  /** Counted less what the words come to that reached the service, seconds: the broker may lose one as it dies, and the sensor may send
   *  one again after a later one. */
  readonly heardError: number;
  /** Words of the sensor that never reached the service, or only after a later one. */
  readonly lostWords: number;
  /** Length of all runs in the store, and of what waits for idle time, less the total, seconds. */
  readonly counterRunsError: number;
  readonly wordRunsError: number;
  readonly trueSeconds: number;
  /** The longest time between two reports of the sensor, by its own clock. */
  readonly longestReportSeconds: number;
  readonly sent: number;
  readonly faults: Readonly<Record<string, number>>;
  readonly warnings: readonly string[];
}

/** One life of a sensor while service, broker and network fail at moments that the seed decides. */
export async function liveThroughRound(plan: RoundPlan): Promise<RoundResult> {
  const random = seededRandom(seedFor(plan.seed, 'round'));
  const folder = mkdtempSync(join(tmpdir(), 'shedbell-round-'));
  const closers: (() => unknown)[] = [() => rmSync(folder, { recursive: true, force: true })];
  try {
    const peer = await startMosquitto();
    closers.push(() => peer.remove());
    const [near, far] = [await openNetwork(peer.port), await openNetwork(peer.port)];
    closers.push(near.close, far.close);
    const baseMs = Date.now();
    const nowMs = () => baseMs + Math.round((Date.now() - baseMs) * plan.speed);
    const file = join(folder, 'shedbell.sqlite');
    const warnings: string[] = [];
    const words: Word[] = [];
    const heard = new Map<string, () => void>();
    const hears = (word: string) => new Promise<void>((resolve) => heard.set(word, resolve));
    const start = () => {
      const settings = {
        url: near.url,
        protocol: plan.protocol,
        home: homeWith([
          machineWith(plan.tellsTime ? { ...counting, timePointer: '/at' } : counting, 'counts'),
          machineWith(saying, 'says'),
        ]),
        file,
        baseMs,
        speed: plan.speed,
        fence,
        tell: saying.topic,
      };
      const started = spawn(process.execPath, [child, JSON.stringify(settings)], {
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      createInterface({ input: started.stdout }).on('line', (line) => {
        if (line.startsWith('warn ')) warnings.push(line);
        if (line.startsWith('heard ')) words.push(wordOf(line.slice('heard '.length)));
        heard.get(line)?.();
      });
      return { started, exited: once(started, 'exit') };
    };
    const connected = hears('connected');
    let service = start();
    closers.push(() => service.started.kill('SIGKILL'));
    await connected;
    await peer.logged(/Sending SUBACK to shedbell-child/);

    const sensor = await startSensor({
      url: far.url,
      counterTopic: counting.topic,
      wordTopic: saying.topic,
      style: plan.style,
      window: plan.restarts ? 1 : 20,
      firstSeconds: plan.restarts ? 0 : 4_000_000,
      restarts: plan.restarts,
      silentAfterSeconds: 60 * silentAfterMinutes,
      nowMs,
      paceMs: plan.paceMs,
      random: seededRandom(seedFor(plan.seed, 'sensor')),
    });
    closers.push(() => sensor.end());
    await sensor.report();
    const ready = hears('ready');
    await sensor.say(fence, 'ready');
    await ready;

    const happened: Record<string, number> = {};
    const faults = {
      async 'service killed'() {
        service.started.kill('SIGKILL');
        await service.exited;
        await wait(random() * 500);
        service = start();
      },
      async 'broker killed'() {
        await peer.kill();
        await wait(random() * 500);
        await peer.start();
      },
      async 'network cut'() {
        near.cut();
      },
      async 'network frozen'() {
        near.freeze();
        await wait(200 + random() * 800);
        near.cut();
      },
      async 'sensor cut off'() {
        far.cut();
      },
      async 'service and broker killed'() {
        service.started.kill('SIGKILL');
        await Promise.all([peer.kill(), service.exited]);
        await peer.start();
        service = start();
      },
    };
    const names = Object.keys(faults) as (keyof typeof faults)[];
    // Every kind in turn, at moments of its own, so that few rounds hold all of them.
    const moments = Array.from({ length: plan.faults }, () => Math.floor(random() * plan.messages * 0.95)).sort(
      (a, b) => a - b,
    );
    const firstName = Math.floor(random() * names.length);
    let chain = Promise.resolve();
    let failure: unknown;
    const life = sensor.live(plan.messages, (sent) => {
      while (moments.length > 0 && sent >= (moments[0] ?? 0)) {
        moments.shift();
        const name = names[(firstName + plan.faults - moments.length) % names.length] ?? 'network cut';
        happened[name] = (happened[name] ?? 0) + 1;
        chain = chain.then(faults[name]).catch((error: unknown) => {
          failure ??= error;
        });
      }
    });
    await life;
    await chain;
    if (failure !== undefined) throw failure;
    await sensor.report();
    const end = hears('end');
    await sensor.say(fence, 'end');
    await end;
    service.started.kill('SIGTERM');
    await service.exited;

    const store = openStore(file);
    closers.push(() => store.close());
    const totals = feedTotalsOf(store, ['counts', 'says']);
    const runs = runsOf(store, ['counts', 'says']);
    const total = (id: string) => totals.get(id)?.[0]?.runSeconds ?? 0;
    const waiting = (id: string) => (parseFeedState(feedMemoryOf(store, id) ?? '')?.placing.unplacedMs ?? 0) / 1000;
    const runsError = (id: string) => lengthSeconds(runs.get(id) ?? []) + waiting(id) - total(id);
    return {
      counterError: total('counts') - sensor.ranSeconds(),
      wordError: total('says') - sensor.saidSeconds(),
      heardError: total('says') - heardSeconds(words),
      lostWords: countLost(sensor.words, words),
      counterRunsError: runsError('counts'),
      wordRunsError: runsError('says'),
      trueSeconds: sensor.ranSeconds(),
      longestReportSeconds: sensor.longestReportSeconds(),
      sent: sensor.sent,
      faults: happened,
      warnings,
    };
  } finally {
    for (const close of closers.reverse()) await close();
  }
}

interface Word {
  readonly state: string;
  readonly at: number;
}

function wordOf(text: string): Word {
  const said: unknown = JSON.parse(text);
  if (typeof said !== 'object' || said === null || !('state' in said) || !('at' in said)) throw new Error(text);
  return { state: String(said.state), at: Number(said.at) };
}

function countLost(said: readonly string[], heard: readonly Word[]): number {
  let latest = Number.NEGATIVE_INFINITY;
  const inTurn = new Set<string>();
  for (const { state, at } of heard) {
    if (at < latest) continue;
    latest = at;
    inTurn.add(`${state} ${at}`);
  }
  return said.map(wordOf).filter(({ state, at }) => !inTurn.has(`${state} ${at}`)).length;
}

/** Seconds from each yes to the word after it, of those that were not overtaken by a later one; none over a silence that ends a run. */
function heardSeconds(words: readonly Word[]): number {
  let seconds = 0;
  let last: Word | null = null;
  for (const word of words) {
    if (last !== null && word.at < last.at) continue;
    const passed = word.at - (last?.at ?? word.at);
    if (last?.state === 'run' && passed <= 60 * silentAfterMinutes) seconds += passed;
    last = word;
  }
  return seconds;
}
