import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';
import { z } from 'zod';
import { openEmbeddedBroker } from '../broker/embedded.js';
import { listen } from '../daemon/listen.js';
import { openLog } from '../daemon/log.js';
import { serve } from '../daemon/serve.js';
import { dataFolder, openService } from '../daemon/wire.js';
import { type Day, parseZone, startOfDay } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Clock } from '../domain/outside.js';
import { loadHome } from '../home/load-home.js';
import { type DemoScript, liveDemoHistory, storyBegins } from '../rehearsal/demo/history.js';
import { startDemoSensor } from '../rehearsal/demo/sensor.js';
import { LifeStopped } from '../rehearsal/live-through.js';
import { simulatedClock } from '../rehearsal/simulated-clock.js';
import { type At, clockAt } from './at.js';
import { quietLog } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';
import { portGiven, untilStopped } from './start.js';
import { usageByMachine } from './usage-file.js';

const demoData = fileURLToPath(new URL('../../demo-data', import.meta.url));
/** The demo is for this computer alone. */
const host = '127.0.0.1';
/** A line of progress for so many months that were lived through. */
const tellEveryMonths = 3;

const scriptSchema = z.strictObject({
  months: z.int().min(1).max(120),
  seed: z.int(),
  firstHours: z.record(z.string(), z.number().min(0)),
  feed: z.strictObject({ machine: z.string(), monthsAgo: z.int().min(0), share: z.number().min(0).max(1) }),
  told: z.strictObject({ machine: z.string(), share: z.number().min(0).max(1) }),
});

/** `shedbell demo`: the invented household, alive. It first lives through its last months on a simulated clock, in a
 *  folder of its own that goes when the demo stops; then its page opens, with a broker and a sensor inside. */
export async function runDemo(at: At, out: Output): Promise<number> {
  const clock = clockAt(at, parseZone('UTC'));
  const script = scriptSchema.parse(parse(readFileSync(join(demoData, 'script.yaml'), 'utf8')));
  const stopping = new AbortController();
  const stopped = untilStopped().then(() => stopping.abort());
  const homeDir = mkdtempSync(join(tmpdir(), 'shedbell-demo-'));
  try {
    const port = portGiven() ?? portInHousehold();
    await checkPort(port);
    const broker = await openEmbeddedBroker(0);
    try {
      await live({ clock, script, homeDir, port, brokerUrl: broker.url, stopping: stopping.signal, stopped, out });
    } finally {
      await broker.close();
    }
  } catch (failure) {
    if (!(failure instanceof LifeStopped)) throw failure;
  } finally {
    rmSync(homeDir, { recursive: true, force: true });
  }
  return exitStatus.fine;
}

interface Demo {
  readonly clock: Clock;
  readonly script: DemoScript;
  readonly homeDir: string;
  readonly port: number;
  readonly brokerUrl: string;
  readonly stopping: AbortSignal;
  readonly stopped: Promise<void>;
  readonly out: Output;
}

async function live({ clock, script, homeDir, port, brokerUrl, stopping, stopped, out }: Demo): Promise<void> {
  const { home, from } = stageDemoHome(homeDir, brokerUrl, clock.nowMs(), script.months);
  const { household } = home;
  const past = simulatedClock(startOfDay(from, household.zone));
  let isLive = false;
  const service = openService({
    homeDir,
    home,
    clock: { nowMs: () => (isLive ? clock.nowMs() : past.nowMs()) },
    log: quietLog,
  });
  // The links in the messages of the story lead to where the page will be.
  if (port > 0) service.servedAt(port);
  try {
    out.line(`Living through the last ${script.months} months at ${household.name}…`);
    const { sensorSeconds } = await liveDemoHistory({
      service,
      clock: past,
      script,
      usage: usageByMachine(join(demoData, 'usage.csv'), home),
      from,
      untilMs: clock.nowMs(),
      stopping,
      tell: tellMonths(home, out),
    });
    isLive = true;
    const serving = await serve({ service, homeDir, host, port, log: openLog(process.env.SHEDBELL_LOG ?? 'warn') });
    const feed = home.machines.find((m) => m.id === script.feed.machine)?.feed;
    const sensor =
      feed === undefined
        ? null
        : startDemoSensor({
            url: brokerUrl,
            topic: feed.topic,
            nowMs: () => clock.nowMs(),
            startSeconds: sensorSeconds,
          });
    out.line(`${household.name} is open at http://localhost:${serving.port}`);
    out.line(`Its messages are kept as files in ${join(dataFolder(homeDir), 'outbox')}`);
    out.line('Ctrl-C ends the demo and removes its folder.');
    await stopped;
    await sensor?.stop();
    await serving.close();
  } finally {
    service.close();
  }
}

/** Says every few months where the story is. */
function tellMonths({ household }: Home, out: Output): (nowMs: number) => void {
  const words = new Intl.DateTimeFormat(household.locale, { month: 'long', year: 'numeric', timeZone: household.zone });
  let month = '';
  let months = 0;
  return (nowMs) => {
    const now = words.format(nowMs);
    if (now === month) return;
    month = now;
    if (months > 0 && months % tellEveryMonths === 0) out.line(`… ${now}`);
    months += 1;
  };
}

/** Before the history is lived through, because that takes a while.
 *  @throws Fault port-busy, page-not-served */
async function checkPort(port: number): Promise<void> {
  const server = await listen(
    createServer(),
    host,
    port,
    'Choose another port with SHEDBELL_PORT, such as SHEDBELL_PORT=8400.',
  );
  await new Promise<void>((done) => server.close(() => done()));
}

function portInHousehold(): number {
  return load(join(demoData, 'home')).household.http.port;
}

/** Copies the demo household, starts its machines' plans on the day the story begins, and names the broker inside. */
function stageDemoHome(homeDir: string, brokerUrl: string, nowMs: number, months: number): { home: Home; from: Day } {
  cpSync(join(demoData, 'home'), homeDir, { recursive: true });
  const file = join(homeDir, 'household.yaml');
  writeFileSync(file, `${readFileSync(file, 'utf8')}\nmqtt: { url: "${brokerUrl}" }\n`);
  const from = storyBegins(nowMs, months, load(homeDir).household.zone);
  for (const name of readdirSync(join(homeDir, 'machines'))) {
    const machine = join(homeDir, 'machines', name);
    writeFileSync(machine, readFileSync(machine, 'utf8').replace(/^since: .*$/m, `since: ${from}`));
  }
  return { home: load(homeDir), from };
}

function load(homeDir: string): Home {
  const loaded = loadHome(homeDir);
  if (loaded.kind === 'home') return loaded.home;
  throw new BadInput(loaded.faults[0]?.line ?? 'The demo household cannot be read.');
}
