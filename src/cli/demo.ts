import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';
import { z } from 'zod';
import { openEmbeddedBroker } from '../broker/embedded.js';
import { systemClock } from '../daemon/clock.js';
import { openLog } from '../daemon/log.js';
import { serve } from '../daemon/serve.js';
import { dataFolder, openService } from '../daemon/wire.js';
import { parseInstant, parseZone, startOfDay } from '../domain/day.js';
import { loadHome } from '../home/load-home.js';
import { liveDemoHistory, storyBegins } from '../rehearsal/demo-history.js';
import { startDemoSensor } from '../rehearsal/demo-sensor.js';
import { simulatedClock } from '../rehearsal/simulated-clock.js';
import { type At, quietLog } from './open-home.js';
import { BadInput, exitStatus, type Output } from './output.js';
import { portGiven, untilStopped } from './start.js';
import { usageByMachine } from './usage-file.js';

const demoData = fileURLToPath(new URL('../../demo-data', import.meta.url));

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
  const clock = systemClock(at.now === undefined ? undefined : parseInstant(at.now, parseZone('UTC')));
  const script = scriptSchema.parse(parse(readFileSync(join(demoData, 'script.yaml'), 'utf8')));
  const homeDir = mkdtempSync(join(tmpdir(), 'shedbell-demo-'));
  const broker = await openEmbeddedBroker(0);
  try {
    const { home, from, to } = stageDemoHome(homeDir, broker.url, clock.nowMs(), script.months);
    const past = simulatedClock(startOfDay(from, home.household.zone));
    let live = false;
    const service = openService({
      homeDir,
      home,
      clock: { nowMs: () => (live ? clock.nowMs() : past.nowMs()) },
      log: quietLog,
    });
    out.line(`Living through the last ${script.months} months at ${home.household.name}…`);
    await liveDemoHistory({
      service,
      clock: past,
      script,
      usage: usageByMachine(join(demoData, 'usage.csv'), home),
      from,
      to,
    });
    live = true;
    const log = openLog(process.env.SHEDBELL_LOG ?? 'warn');
    const port = portGiven() ?? home.household.http.port;
    const serving = await serve({ service, homeDir, host: '127.0.0.1', port, log });
    const feed = home.machines.find((m) => m.id === script.feed.machine)?.feed;
    const sensor =
      feed === undefined
        ? null
        : startDemoSensor({ url: broker.url, topic: feed.topic, nowMs: () => clock.nowMs(), startSeconds: 51_840 });
    out.line(`${home.household.name} is open at http://localhost:${serving.port}`);
    out.line(`Its messages are kept as files in ${join(dataFolder(homeDir), 'outbox')}`);
    out.line('Ctrl-C ends the demo and removes its folder.');
    await untilStopped();
    await sensor?.stop();
    await serving.close();
    return exitStatus.fine;
  } finally {
    await broker.close();
    rmSync(homeDir, { recursive: true, force: true });
  }
}

/** Copies the demo household, starts its machines' plans on the day the story begins, and names the broker inside. */
function stageDemoHome(homeDir: string, brokerUrl: string, nowMs: number, months: number) {
  cpSync(join(demoData, 'home'), homeDir, { recursive: true });
  const household = join(homeDir, 'household.yaml');
  writeFileSync(household, `${readFileSync(household, 'utf8')}\nmqtt: { url: "${brokerUrl}" }\n`);
  const zone = load(homeDir).household.zone;
  const story = storyBegins(nowMs, months, zone);
  for (const name of readdirSync(join(homeDir, 'machines'))) {
    const file = join(homeDir, 'machines', name);
    writeFileSync(file, readFileSync(file, 'utf8').replace(/^since: .*$/m, `since: ${story.from}`));
  }
  return { home: load(homeDir), ...story };
}

function load(homeDir: string) {
  const loaded = loadHome(homeDir);
  if (loaded.kind === 'home') return loaded.home;
  throw new BadInput(loaded.faults[0]?.line ?? 'The demo household cannot be read.');
}
