import mqtt from 'mqtt';
import { afterEach, expect, test } from 'vitest';
import { type Serving, serve } from '../../src/daemon/serve.js';
import { openService, type Service } from '../../src/daemon/wire.js';
import { hourMs } from '../../src/domain/day.js';
import { loadHome } from '../../src/home/load-home.js';
import { enterReading } from '../../src/ledger/enter-reading.js';
import { removeHome, stageCommandHome } from '../stage/command.js';
import { type Mosquitto, startMosquitto } from '../stage/mosquitto.js';
import { noLog } from '../stage/no-log.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function broker(): Promise<Mosquitto> {
  const peer = await startMosquitto();
  closers.push(() => peer.remove());
  return peer;
}

/** Another program of the house, which shows whatever stands under `shedbell/`. */
async function onlooker(peer: Mosquitto, clientId: string) {
  const seen: { topic: string; payload: string; retain: boolean }[] = [];
  const waiting = new Set<() => void>();
  const client = await mqtt.connectAsync(peer.url, { clientId, reconnectPeriod: 20 });
  client.on('error', () => undefined);
  closers.push(() => client.endAsync(true));
  client.on('message', (topic, payload, { retain }) => {
    seen.push({ topic, payload: payload.toString(), retain });
    for (const look of [...waiting]) look();
  });
  await client.subscribeAsync('shedbell/#', { qos: 1 });
  return {
    seen,
    /** Resolves with the first payload of a topic, so far or to come, that a test accepts. */
    shows: (topic: string, accepts: (payload: string) => boolean = () => true) =>
      new Promise<string>((resolve) => {
        const look = () => {
          const found = seen.find((one) => one.topic === topic && accepts(one.payload));
          if (found === undefined) return;
          waiting.delete(look);
          resolve(found.payload);
        };
        waiting.add(look);
        look();
      }),
    /** Resolves when all that was sent up to now has been seen. */
    async settle() {
      const mark = `mark ${seen.length} ${clientId}`;
      const done = this.shows('shedbell/mark', (payload) => payload === mark);
      await client.publishAsync('shedbell/mark', mark, { qos: 1 });
      await done;
    },
  };
}

/** The whole service on a home of its own, its clock driven, its broker real. */
async function open(
  peer: Mosquitto,
  files: Readonly<Record<string, string>> = {},
): Promise<{ service: Service; serving: Serving; pass(ms: number): void }> {
  const dir = stageCommandHome({
    ...files,
    'household.yaml': `name: Weir Cottage
timezone: Europe/Lisbon
people: [{ id: rui, name: Rui }]
mqtt: { url: "${peer.url}" }
`,
  });
  closers.push(() => removeHome(dir));
  const loaded = loadHome(dir, {});
  if (loaded.kind !== 'home') throw new Error(loaded.faults.map((fault) => fault.line).join('\n'));
  let nowMs = Date.parse('2031-09-01T17:00:00Z');
  const service = openService({ homeDir: dir, home: loaded.home, clock: { nowMs: () => nowMs }, log: noLog });
  const serving = await serve({
    service,
    homeDir: dir,
    host: '127.0.0.1',
    port: 0,
    log: noLog,
    monotonicMs: () => nowMs,
  });
  return {
    service,
    serving,
    pass: (ms) => {
      nowMs += ms;
    },
  };
}

function read(service: Service, hours: number): void {
  const entry = { machine: 'cider-press', hours, by: null, door: 'command', confirm: true, key: null } as const;
  expect(enterReading(service.books, { ...entry, atMs: service.books.clock.nowMs() }).kind).toBe('counted');
}

test('what a machine’s hours, next task, next visit and problems are stands on the broker for whoever comes later', async () => {
  const peer = await broker();
  const { service, serving } = await open(peer);
  closers.push(() => serving.close());
  read(service, 141.5);
  await serving.wake();
  const live = await onlooker(peer, 'live');
  await live.shows('shedbell/cider-press/hours', (payload) => payload.includes('141.5'));

  const late = await onlooker(peer, 'late');
  const hours = JSON.parse(await late.shows('shedbell/cider-press/hours'));
  expect(hours).toEqual({
    p10: 141.5,
    p50: 141.5,
    p90: 141.5,
    lastReading: { at: '2031-09-01T17:00:00Z', hours: 141.5 },
    silentSince: null,
    text: expect.stringMatching(/^about 142 h/),
  });
  expect(JSON.parse(await late.shows('shedbell/cider-press/due'))).toMatchObject({
    task: expect.stringMatching(/engine-oil|air-filter|belt/),
    limit: 'hours',
    targetHours: 150,
    p50: expect.stringMatching(/^20\d\d-\d\d-\d\d$/),
  });
  const visit = JSON.parse(await late.shows('shedbell/cider-press/visit'));
  expect(visit.visit).toBe(service.latest().visits.find(({ machine }) => machine === 'cider-press')?.id);
  expect(JSON.parse(await late.shows('shedbell/cider-press/problem'))).toEqual({ problems: [] });
  expect(await late.shows('shedbell/service')).toBe('online');
  expect(late.seen.every(({ retain }) => retain)).toBe(true);
});

test('a turn that changes nothing publishes nothing; a reading publishes what changed with it', async () => {
  const peer = await broker();
  const { service, serving, pass } = await open(peer);
  closers.push(() => serving.close());
  read(service, 120);
  await serving.wake();
  const live = await onlooker(peer, 'live');
  await live.shows('shedbell/cider-press/hours', (payload) => payload.includes('"p50":120'));
  await live.settle();
  const before = live.seen.length;
  pass(60_000);
  await serving.wake();
  await live.settle();
  expect(live.seen.slice(before).filter(({ topic }) => topic !== 'shedbell/mark')).toEqual([]);
  pass(hourMs);
  read(service, 120.4);
  await serving.wake();
  await live.shows('shedbell/cider-press/hours', (payload) => payload.includes('"p50":120.4'));
  await live.settle();
  const after = live.seen.slice(before).map(({ topic }) => topic);
  expect(after).not.toContain('shedbell/cider-press/problem');
  expect(after).not.toContain('shedbell/hand-tiller/hours');
});

test('hours that are estimated are shown anew within the hour, without anything having been entered', async () => {
  const peer = await broker();
  const { service, serving, pass } = await open(peer);
  closers.push(() => serving.close());
  read(service, 120);
  await serving.wake();
  const live = await onlooker(peer, 'live');
  await live.shows('shedbell/cider-press/hours', (payload) => payload.includes('"p50":120'));
  pass(5 * 24 * hourMs);
  await serving.wake();
  const later = await live.shows('shedbell/cider-press/hours', (payload) => !payload.includes('"p90":120,'));
  expect(JSON.parse(later).p90).toBeGreaterThan(120);
});

test('a broker that lost its memory gets all states with the next connection', async () => {
  const peer = await broker();
  const { service, serving } = await open(peer);
  closers.push(() => serving.close());
  read(service, 133.3);
  await serving.wake();
  const live = await onlooker(peer, 'live');
  await live.shows('shedbell/cider-press/hours', (payload) => payload.includes('133.3'));
  await peer.kill();
  peer.forget();
  await peer.start();
  const late = await onlooker(peer, 'late');
  await late.shows('shedbell/cider-press/hours', (payload) => payload.includes('133.3'));
  await late.shows('shedbell/service', (payload) => payload === 'online');
}, 20_000);

test('a stopped service says offline, and a machine without a file is taken off the broker', async () => {
  const peer = await broker();
  const { service, serving, pass } = await open(peer);
  read(service, 133.3);
  await serving.wake();
  const live = await onlooker(peer, 'live');
  await live.shows('shedbell/cider-press/hours', (payload) => payload.includes('133.3'));
  const home = service.books.home();
  service.replaceHome({ ...home, machines: home.machines.filter(({ id }) => id !== 'cider-press') });
  pass(hourMs);
  await serving.wake();
  await live.shows('shedbell/cider-press/hours', (payload) => payload === '');
  await live.shows('shedbell/cider-press/visit', (payload) => payload === '');
  await serving.close();
  await live.shows('shedbell/service', (payload) => payload === 'offline');
});

test('what a sensor says that cannot be right is said on the first page and on the broker, and counts nothing', async () => {
  const peer = await broker();
  const { service, serving, pass } = await open(peer, {
    'machines/cider-press.yaml': `name: Cider press
plan: cider-press
since: 2031-01-01
meter: { counts: clock, first: { hours: 100, on: 2031-01-01 } }
expect: { hoursPerYear: 60, season: even }
last: fine-as-bought
feed: { kind: run-seconds, topic: press/run }
`,
  });
  closers.push(() => serving.close());
  await peer.logged(/Sending SUBACK to shedbell-/);
  const live = await onlooker(peer, 'live');
  const sensor = await mqtt.connectAsync(peer.url, { clientId: 'sensor' });
  closers.push(() => sensor.endAsync(true));
  await sensor.publishAsync('press/run', '100', { qos: 1 });
  await sensor.publishAsync('press/run', 'nonsense', { qos: 1 });
  await peer.logged(/Received PUBACK from shedbell-[0-9a-f]{12} \(Mid: 2/);
  pass(hourMs);
  await serving.wake();
  const said = /Something the run-time sensor of Cider press said today at \d\d:\d\d was not counted/;
  await live.shows('shedbell/cider-press/problem', (payload) => said.test(payload) && payload.includes('nonsense'));
  const page = await (await fetch(`http://127.0.0.1:${serving.port}/`)).text();
  expect(page).toMatch(said);
  expect(service.latest().machines.find(({ machine }) => machine === 'cider-press')?.feed?.runSeconds).toBe(0);
  pass(25 * hourMs);
  await serving.wake();
  await live.shows('shedbell/cider-press/problem', (payload) => payload === '{"problems":[]}');
});
