import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, expect, test } from 'vitest';
import { openBroker } from '../../src/broker/connection.js';
import type { MqttSettings } from '../../src/domain/household.js';
import type { Feed } from '../../src/domain/machine.js';
import { watchFeeds } from '../../src/feed/watch.js';
import {
  homeWith,
  type KeptFeeds,
  keepInMemory,
  machineWith,
  rememberLog,
  runningWords,
  runSeconds,
  startMs,
} from '../stage/feeds.js';
import { type Mosquitto, startMosquitto } from '../stage/mosquitto.js';
import { openNetwork } from '../stage/network.js';

const id = 'yard-mower';
const fence = 'yard/fence';
const closers: (() => Promise<unknown>)[] = [];

afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function mosquitto(): Promise<Mosquitto> {
  const peer = await startMosquitto();
  closers.push(() => peer.remove());
  return peer;
}

async function sensorAt(peer: Mosquitto): Promise<MqttClient> {
  const client = await mqtt.connectAsync(peer.url, { clientId: 'sensor', reconnectPeriod: 20 });
  client.on('error', () => undefined);
  closers.push(() => client.endAsync(true));
  return client;
}

/** One life of the service on a real broker. Its clock moves only when told; `settle` resolves when all published so far was taken. */
async function serve(
  peer: { readonly url: string },
  protocol: MqttSettings['protocol'],
  feed: Feed,
  kept: KeptFeeds,
  boot: string,
) {
  const log = rememberLog();
  let nowMs = startMs;
  let monotonic = 0;
  const clock = { nowMs: () => nowMs };
  const broker = openBroker(
    { url: peer.url, protocol, clientId: 'shedbell-test' },
    { clock, log, random: () => 0, pace: { leastMs: 20, mostMs: 100 } },
  );
  const home = homeWith([machineWith(feed)]);
  const watch = watchFeeds({
    broker,
    home,
    clock,
    monotonicMs: () => monotonic,
    boot,
    notBeforeMs: 0,
    log,
    hand: kept,
  });
  const fences = new Map<string, () => void>();
  broker.subscribe(fence, (_topic, payload) => fences.get(payload.toString())?.());
  let settled = 0;
  const close = async () => {
    await broker.close();
    watch.close();
  };
  const connected = () =>
    new Promise<void>((resolve) => {
      const stop = broker.onConnect(() => {
        stop();
        resolve();
      });
    });
  const up = connected();
  broker.connect();
  await up;
  return {
    watch,
    connected,
    close,
    pass(seconds: number) {
      nowMs += seconds * 1000;
      monotonic += seconds * 1000;
    },
    /** Messages of one publisher arrive in order, so the fence is the last; retained, so that it also meets a late subscription. */
    settle(sensor: MqttClient): Promise<void> {
      settled += 1;
      const mark = `${boot} ${settled}`;
      const seen = new Promise<void>((resolve) => fences.set(mark, resolve));
      return sensor.publishAsync(fence, mark, { qos: 1, retain: true }).then(() => seen);
    },
  };
}

test.each(['3.1.1', '5'] as const)('over MQTT %s retained and repeated values count once', async (protocol) => {
  const peer = await mosquitto();
  const sensor = await sensorAt(peer);
  await sensor.publishAsync(runSeconds.topic, '5000', { qos: 1, retain: true });
  const kept = keepInMemory();
  const life = await serve(peer, protocol, runSeconds, kept, 'first');
  await life.settle(sensor);
  life.pass(10);
  for (let i = 0; i < 3; i += 1) await sensor.publishAsync(runSeconds.topic, '5010', { qos: 1, retain: true });
  await life.settle(sensor);
  expect(kept.totalSeconds(id)).toBe(10);
  await life.close();

  // The session is gone, so the retained value comes anew.
  const cleaner = await mqtt.connectAsync(peer.url, { clientId: 'shedbell-test', clean: true });
  await cleaner.endAsync();
  const second = await serve(peer, protocol, runSeconds, kept, 'second');
  await second.settle(sensor);
  expect(kept.totalSeconds(id)).toBe(10);
  await second.close();
});

test.each(['3.1.1', '5'] as const)(
  'over MQTT %s a killed broker and a restarted service lose and add nothing',
  async (protocol) => {
    const peer = await mosquitto();
    const sensor = await sensorAt(peer);
    const kept = keepInMemory();
    const first = await serve(peer, protocol, runSeconds, kept, 'first');
    await first.settle(sensor);
    let counter = 0;
    const run = async (life: { pass(seconds: number): void } | null, times: number) => {
      for (let i = 0; i < times; i += 1) {
        counter += 10;
        life?.pass(10);
        await sensor.publishAsync(runSeconds.topic, String(counter), { qos: 1 });
      }
    };
    await run(first, 10);
    await first.settle(sensor);
    const again = first.connected();
    await peer.kill();
    await peer.start();
    await again;
    await run(first, 10);
    await first.settle(sensor);
    expect(kept.totalSeconds(id)).toBe(190);
    await first.close();

    await run(null, 10);
    const second = await serve(peer, protocol, runSeconds, kept, 'second');
    second.pass(1000);
    await second.settle(sensor);
    await run(second, 1);
    await second.settle(sensor);
    expect(kept.totalSeconds(id)).toBe(counter - 10);
    await second.close();
  },
);

test.each(['3.1.1', '5'] as const)(
  'over MQTT %s a stop that waited behind a dead network counts no more than was heard, and a run that goes on loses nothing',
  async (protocol) => {
    const peer = await mosquitto();
    const network = await openNetwork(peer.port);
    closers.push(async () => network.close());
    const sensor = await sensorAt(peer);
    const kept = keepInMemory();
    const life = await serve(network, protocol, runningWords, kept, 'first');
    const say = (word: string) => sensor.publishAsync(runningWords.topic, word, { qos: 1 });
    await life.settle(sensor);
    // The first of what was heard after the start may have waited, so the run is begun once that is over.
    life.pass(600);
    await say('run');
    await life.settle(sensor);
    life.pass(60);
    await say('run');
    await life.settle(sensor);
    expect(kept.totalSeconds(id)).toBe(60);

    network.freeze();
    life.pass(10);
    await say('stop');
    life.pass(770);
    const back = life.connected();
    network.cut();
    await back;
    await life.settle(sensor);
    expect(kept.totalSeconds(id)).toBe(60);

    life.pass(600);
    await say('run');
    await life.settle(sensor);
    network.freeze();
    life.pass(60);
    await say('run');
    life.pass(60);
    const again = life.connected();
    network.cut();
    await again;
    await life.settle(sensor);
    expect(kept.totalSeconds(id)).toBe(60);
    life.pass(60);
    await say('run');
    await life.settle(sensor);
    expect(kept.totalSeconds(id)).toBe(60 + 180);
    await life.close();
  },
);

test('the last will of a sensor that loses power ends its run at its last sign of life', async () => {
  const peer = await mosquitto();
  const feed: Feed = { ...runningWords, aliveTopic: 'yard/mower/alive' };
  const kept = keepInMemory();
  const life = await serve(peer, '3.1.1', feed, kept, 'first');
  const other = await sensorAt(peer);
  await life.settle(other);
  const sensor = await mqtt.connectAsync(peer.url, {
    clientId: 'mower',
    reconnectPeriod: 0,
    will: { topic: 'yard/mower/alive', payload: Buffer.from('0'), qos: 1, retain: true },
  });
  await sensor.publishAsync(feed.topic, 'run', { qos: 1 });
  await life.settle(sensor);
  life.pass(300);
  await sensor.publishAsync(feed.topic, 'run', { qos: 1 });
  await life.settle(sensor);
  life.pass(300);
  sensor.stream.destroy();
  await peer.logged(/Sending PUBLISH to shedbell-test .*yard\/mower\/alive/);
  await life.settle(other);
  expect(kept.totalSeconds(id)).toBe(300);
  expect(kept.entries.at(-1)?.entry.state.counting).toMatchObject({ isRunning: false });
  await life.close();
});

test('a payload of ten megabytes and one of random bytes are refused, and what follows is counted', async () => {
  const peer = await mosquitto();
  const sensor = await sensorAt(peer);
  const kept = keepInMemory();
  const life = await serve(peer, '5', runSeconds, kept, 'first');
  await sensor.publishAsync(runSeconds.topic, '0', { qos: 1 });
  await sensor.publishAsync(runSeconds.topic, Buffer.alloc(10_000_000, '9'), { qos: 1 });
  await sensor.publishAsync(runSeconds.topic, Buffer.from([0xff, 0x00, 0xfe]), { qos: 1 });
  await life.settle(sensor);
  life.pass(10);
  await sensor.publishAsync(runSeconds.topic, '10', { qos: 1 });
  await life.settle(sensor);
  expect(life.watch.recentRefusals(id).map(({ code }) => code)).toEqual(['payload-unreadable', 'payload-too-large']);
  expect(kept.totalSeconds(id)).toBe(10);
  await life.close();
});
