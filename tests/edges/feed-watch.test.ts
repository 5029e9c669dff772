import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { afterEach, beforeAll, describe, expect, test } from 'vitest';
import { openService } from '../../src/daemon/wire.js';
import { followFeed } from '../../src/feed/follow.js';
import { loadHome } from '../../src/home/load-home.js';
import { enterRuns } from '../../src/ledger/enter-runs.js';
import { commandsOn, endBuilt, removeHome, requireBuilt, stageCommandHome, startBuilt } from '../stage/command.js';
import { keepInMemory, moment, startMs } from '../stage/feeds.js';
import { type Mosquitto, startMosquitto } from '../stage/mosquitto.js';
import { noLog } from '../stage/no-log.js';

beforeAll(requireBuilt);

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

const topic = 'press/run';
const machine = (feed: string) => `name: Cider press
plan: cider-press
since: 2031-01-01
meter: { counts: clock, first: { hours: 100, on: 2031-01-01 } }
expect: { hoursPerYear: 60, season: even }
last: fine-as-bought
${feed}
`;
const counter = machine(`feed: { kind: run-seconds, topic: ${topic}, pointer: /s, aliveTopic: press/alive }`);

function stage(url: string | null, file = counter): string {
  const dir = stageCommandHome({
    'household.yaml': `name: Weir Cottage
timezone: Europe/Lisbon
people: [{ id: rui, name: Rui }]
${url === null ? '' : `mqtt: { url: "${url}" }`}
`,
    'machines/cider-press.yaml': file,
  });
  closers.push(() => removeHome(dir));
  return dir;
}

async function broker(): Promise<Mosquitto> {
  const peer = await startMosquitto();
  closers.push(() => peer.remove());
  return peer;
}

async function sensorAt(peer: Mosquitto) {
  const sensor = await mqtt.connectAsync(peer.url, { clientId: 'sensor' });
  closers.push(() => sensor.endAsync(true));
  return (payload: string | Buffer, retain = false) => sensor.publishAsync(topic, payload, { qos: 1, retain });
}

/** The built command, watching. */
async function watch(dir: string, ...more: string[]) {
  const running = startBuilt(['--home', dir, '--now', '2031-09-01T18:00', 'feed', 'cider-press', '--watch', ...more]);
  closers.push(() => endBuilt(running));
  return running;
}

describe('feed --watch', () => {
  test('shows what arrives, what it is taken for, and what is refused and why, until Ctrl-C', async () => {
    const peer = await broker();
    const say = await sensorAt(peer);
    await say('{"s":100}', true);
    const watching = await watch(stage(peer.url));
    await watching.says(/Connected to mqtt:\/\/127\.0\.0\.1:\d+, listening to press\/run and press\/alive\./);
    await watching.says(
      /kept by the broker from before; 100 s on the counter; the first value, from which it counts\./,
    );
    const odd: [string | Buffer, RegExp][] = [
      ['{"s":103}', /“\{"s":103\}”: 103 s on the counter; 3 s more, 3 s in all\./],
      ['{"s":103}', /“\{"s":103\}”: 103 s on the counter; nothing new\./],
      ['hello', /“hello”: refused: .*not JSON.* Nothing changes\./],
      ['{"s":null}', /refused: the value at \/s is null\. Nothing changes\./],
      ['', /\(empty\): refused: the payload is empty\. Nothing changes\./],
      ['['.repeat(60_000), /refused: the JSON is nested deeper than 32 levels\. Nothing changes\./],
      [Buffer.from([0xff, 0xfe, 0x00]), /refused: the payload is not text \(invalid UTF-8\)\. Nothing changes\./],
      [
        Buffer.alloc(10_000_000, 0x61),
        /\(10,000,000 bytes\): refused: the payload has 10,000,000 bytes, more than 65,536\./,
      ],
      ['{"s":99999}', /refused: the counter rose by 99,896 s, but at most \d+ s can have passed\. Nothing changes\./],
    ];
    for (const [payload, shown] of odd) {
      await say(payload);
      await watching.says(shown);
    }
    watching.child.kill('SIGINT');
    expect(await watching.ended).toMatchObject({ status: 0, err: '' });
  });

  test('with --json says one document a message, and all else on standard error', async () => {
    const peer = await broker();
    const say = await sensorAt(peer);
    const watching = await watch(stage(peer.url), '--json');
    await peer.logged(/Sending SUBACK to shedbell-watch-/);
    await say('{"s":7}');
    await say('no');
    await watching.says(/"refused"/);
    watching.child.kill('SIGTERM');
    const { status, out, err } = await watching.ended;
    expect(status).toBe(0);
    expect(err).toContain('Connected to ');
    const documents = out
      .trim()
      .split('\n')
      .map((line): unknown => JSON.parse(line));
    expect(documents).toMatchObject([
      { topic, sample: '{"s":7}', taken: { kind: 'taken', as: { kind: 'run-seconds', seconds: 7 } } },
      { topic, sample: 'no', taken: { kind: 'refused', code: 'payload-unreadable' } },
    ]);
  });

  test('takes no message from the service: what came while the service was away is still kept for it', async () => {
    const peer = await broker();
    const say = await sensorAt(peer);
    const dir = stage(peer.url);
    const serve = (now: string) => {
      const running = startBuilt(['--home', dir, '--now', now, 'start'], { env: { SHEDBELL_PORT: '0' } });
      closers.push(() => endBuilt(running));
      return running;
    };
    const first = serve('2031-09-01T18:00');
    await peer.logged(/Sending SUBACK to shedbell-[0-9a-f]{12}/);
    await say('{"s":1000}');
    await peer.logged(/Received PUBACK from shedbell-[0-9a-f]{12} /);
    first.child.kill('SIGTERM');
    expect(await first.ended).toMatchObject({ status: 0 });
    const watching = await watch(dir);
    await watching.says(/Connected/);
    await peer.logged(/Sending SUBACK to shedbell-watch-/);
    await say('{"s":1004}');
    await watching.says(/1,004 s on the counter; 4 s more, 4 s in all/);
    watching.child.kill('SIGINT');
    await watching.ended;
    const counted = async () => JSON.parse((await commandsOn(dir)('feed', 'cider-press', '--json')).lines[0] ?? '{}');
    expect(await counted()).toMatchObject({ runSeconds: 0 });
    const from = peer.log.length;
    const second = serve('2031-09-01T18:10');
    await second.says(/connected to the broker/);
    await acknowledged(peer, from);
    expect(await counted()).toMatchObject({ runSeconds: 4 });
    second.child.kill('SIGTERM');
    await second.ended;
  });

  test('says in plain words that nothing answers, and why it cannot start at all', async () => {
    const peer = await broker();
    await peer.kill();
    const watching = await watch(stage(peer.url));
    await watching.says(/Nothing answers at mqtt:\/\/127\.0\.0\.1:\d+/);
    watching.child.kill('SIGINT');
    expect(await watching.ended).toMatchObject({ status: 0 });

    const none = await commandsOn(stage(null))('feed', 'cider-press', '--watch');
    expect(none).toMatchObject({ status: 2, lines: [] });
    expect(none.errors).toEqual([expect.stringContaining('household.yaml names no broker')]);
    const bare = await commandsOn(stage(peer.url))('feed', 'hand-tiller', '--watch');
    expect(bare).toMatchObject({ status: 2, lines: [] });
    expect(bare.errors).toEqual([expect.stringContaining('machines/hand-tiller.yaml sets up no sensor')]);
    expect(await commandsOn(stage(peer.url))('feed', 'nobody')).toMatchObject({ status: 2 });
  });
});

/** Resolves when the broker got an acknowledgement from the service, counted from a line of its log on. */
async function acknowledged(peer: Mosquitto, from: number): Promise<void> {
  const pattern = /Received PUBACK from shedbell-[0-9a-f]{12} /;
  if (peer.log.slice(from).some((line) => pattern.test(line))) return;
  await peer.next(pattern);
}

describe('feed', () => {
  test('says what was counted, when it was last heard, and since when it is silent', async () => {
    const dir = stage('mqtt://localhost:1883');
    const shed = commandsOn(dir);
    expect((await shed('feed', 'cider-press')).lines.join('\n')).toContain('has not been heard yet');
    const loaded = loadHome(dir, {});
    if (loaded.kind !== 'home') throw new Error('the staged home is wrong');
    const service = openService({ homeDir: dir, home: loaded.home, clock: { nowMs: () => 0 }, log: noLog });
    const lastAtMs = Date.parse('2031-09-01T16:58:00Z');
    enterRuns(service.books, 'cider-press', { total: { runSeconds: 45_000, lastAtMs } });
    service.close();
    const { lines, status } = await shed('feed', 'cider-press');
    expect(status).toBe(0);
    expect(lines).toEqual([
      `Cider press: run-seconds on ${topic}`,
      '  It has counted 12.5 h since it was set up.',
      '  Last heard today at 17:58.',
      'What arrives now: shedbell feed cider-press --watch',
    ]);
    const later = await shed('feed', 'cider-press', '--now', '2031-09-03T10:00');
    expect(later.lines.join('\n')).toContain(
      'The sensor has been silent since Monday 1 September, 17:58; hours since then are estimated.',
    );
    const json = JSON.parse((await shed('feed', 'cider-press', '--json', '--now', '2031-09-03T10:00')).lines[0] ?? '');
    expect(json).toEqual({
      machine: 'cider-press',
      kind: 'run-seconds',
      topic,
      runSeconds: 45_000,
      lastAt: '2031-09-01T16:58:00Z',
      running: null,
      silentSince: '2031-09-01T16:58:00Z',
      sensorPerMeterHour: null,
    });
  });

  test('says whether the engine runs only by what the feed that is set up now has told', async () => {
    const words = (place: string) => machine(`feed: { kind: running, topic: ${place} }`);
    const dir = stage('mqtt://localhost:1883', words('press/engine'));
    const loaded = loadHome(dir, {});
    const press = loaded.kind === 'home' ? loaded.home.machines.find(({ id }) => id === 'cider-press') : undefined;
    if (loaded.kind !== 'home' || press?.feed === undefined) throw new Error('the staged home is wrong');
    const kept = keepInMemory();
    const follower = followFeed(press, press.feed, loaded.home.household.zone, kept);
    follower.take(Buffer.from('run'), moment(0), { retain: false, dup: false, qos: 1 });
    const service = openService({ homeDir: dir, home: loaded.home, clock: { nowMs: () => 0 }, log: noLog });
    const total = { runSeconds: 60, lastAtMs: startMs };
    enterRuns(service.books, 'cider-press', { total, memory: JSON.stringify(kept.load('cider-press')) });
    service.close();
    const shed = commandsOn(dir);
    const feed = async (...more: string[]) =>
      (await shed('feed', 'cider-press', '--now', '2031-06-14T13:01', ...more)).lines;
    expect((await feed())[2]).toBe('  Last heard today at 13:00. The engine runs.');
    expect(JSON.parse((await feed('--json'))[0] ?? '')).toMatchObject({ running: true });
    writeFileSync(join(dir, 'machines/cider-press.yaml'), words('press/other'));
    expect((await feed())[2]).toBe('  Last heard today at 13:00.');
    expect(JSON.parse((await feed('--json'))[0] ?? '')).toMatchObject({ running: null });
  });
});
