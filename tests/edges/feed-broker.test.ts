import { once } from 'node:events';
import { createConnection, createServer, type Socket } from 'node:net';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, describe, expect, test } from 'vitest';
import { type Broker, type MessageHandler, openBroker, serviceTopic } from '../../src/broker/connection.js';
import { openEmbeddedBroker } from '../../src/broker/embedded.js';
import type { MqttSettings } from '../../src/domain/household.js';
import { rememberLog } from '../stage/feeds.js';
import { type Mosquitto, startMosquitto } from '../stage/mosquitto.js';

const pace = { leastMs: 50, mostMs: 200 };
const closers: (() => Promise<unknown>)[] = [];

afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function mosquitto(how: Parameters<typeof startMosquitto>[0] = {}): Promise<Mosquitto> {
  const broker = await startMosquitto(how);
  closers.push(() => broker.remove());
  return broker;
}

function connection(url: string, protocol: MqttSettings['protocol'], more: Partial<MqttSettings> = {}) {
  const log = rememberLog();
  const broker = openBroker(
    { url, protocol, clientId: 'shedbell-test', ...more },
    { clock: { nowMs: () => 1_000 }, log, random: () => 0.5, pace },
  );
  closers.push(() => broker.close());
  return { broker, log };
}

function connected(broker: Broker): Promise<void> {
  return new Promise((resolve) => {
    const stop = broker.onConnect(() => {
      stop();
      resolve();
    });
  });
}

async function publisher(url: string): Promise<MqttClient> {
  const client = await mqtt.connectAsync(url, { clientId: 'sensor', reconnectPeriod: 20 });
  client.on('error', () => undefined);
  closers.push(() => client.endAsync(true));
  return client;
}

/** A handler that remembers payloads, and a promise for the moment when `count` of them were taken. */
function collector(count: number, before: (text: string) => void = () => undefined) {
  const taken: string[] = [];
  let done: () => void = () => undefined;
  const complete = new Promise<void>((resolve) => {
    done = resolve;
  });
  const handler: MessageHandler = (_topic, payload) => {
    const text = payload.toString();
    before(text);
    taken.push(text);
    if (taken.length >= count) done();
  };
  return { taken, complete, handler };
}

/** What the service says of itself, as another program on the broker sees it. */
async function watchService(url: string) {
  const watcher = await publisher(url);
  const seen: string[] = [];
  const gone = new Promise<void>((resolve) => {
    watcher.on('message', (_topic, payload) => {
      seen.push(payload.toString());
      if (payload.toString() === 'offline') resolve();
    });
  });
  await watcher.subscribeAsync(serviceTopic, { qos: 1 });
  return { seen, gone };
}

/** A way to the broker that can be cut. */
async function openNetwork(port: number) {
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    const far = createConnection(port, '127.0.0.1');
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('error', () => undefined);
    }
    near.pipe(far);
    far.pipe(near);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const cut = () => {
    server.close();
    for (const socket of sockets) socket.destroy();
  };
  closers.push(async () => cut());
  const address = server.address();
  return { cut, url: `mqtt://127.0.0.1:${typeof address === 'object' ? address?.port : 0}` };
}

describe.each(['3.1.1', '5'] as const)('the connection over MQTT %s with a real broker', (protocol) => {
  test('a handler that throws leaves its message with the broker; all come again, in order, none twice', async () => {
    const peer = await mosquitto();
    const { broker, log } = connection(peer.url, protocol);
    let failures = 2;
    const { taken, complete, handler } = collector(4, (text) => {
      if (text === 'b' && failures > 0) {
        failures -= 1;
        throw new Error('the disk is full');
      }
    });
    broker.subscribe('shed/run', handler);
    const first = connected(broker);
    broker.connect();
    await first;
    await peer.logged(/Sending SUBACK to shedbell-test/);
    const sensor = await publisher(peer.url);
    await Promise.all(['a', 'b', 'c', 'd'].map((text) => sensor.publishAsync('shed/run', text, { qos: 1 })));
    await complete;
    expect(taken).toEqual(['a', 'b', 'c', 'd']);
    expect(log.lines.filter((line) => line.level === 'error')).toHaveLength(2);
  });

  test('what comes while the service is away is delivered when it is back, before anything is subscribed anew', async () => {
    const peer = await mosquitto();
    const before = connection(peer.url, protocol);
    before.broker.subscribe('shed/run', () => undefined);
    const first = connected(before.broker);
    before.broker.connect();
    await first;
    await peer.logged(/Sending SUBACK to shedbell-test/);
    await before.broker.close();
    const sensor = await publisher(peer.url);
    for (const text of ['a', 'b', 'c']) await sensor.publishAsync('shed/run', text, { qos: 1 });

    const after = connection(peer.url, protocol);
    const { taken, complete, handler } = collector(3);
    after.broker.subscribe('shed/run', handler);
    after.broker.connect();
    await complete;
    expect(taken).toEqual(['a', 'b', 'c']);
  });

  test('a broker that is killed and started again is found again, with what it kept', async () => {
    const peer = await mosquitto();
    const { broker } = connection(peer.url, protocol);
    const { taken, complete, handler } = collector(2);
    broker.subscribe('shed/run', handler);
    const first = connected(broker);
    broker.connect();
    await first;
    await peer.logged(/Sending SUBACK to shedbell-test/);
    const sensor = await publisher(peer.url);
    await sensor.publishAsync('shed/run', 'before', { qos: 1 });
    const again = connected(broker);
    await peer.kill();
    await peer.start();
    await again;
    await sensor.publishAsync('shed/run', 'after', { qos: 1 });
    await complete;
    expect(new Set(taken)).toEqual(new Set(['before', 'after']));
    expect(broker.state()).toMatchObject({ connected: true, lastError: null });
  });

  test('a wrong password is named in plain words, and cured without a restart', async () => {
    const peer = await mosquitto({ users: { shed: 'old one' } });
    const { broker, log } = connection(peer.url, protocol, { user: 'shed', password: 'right one' });
    const up = connected(broker);
    broker.connect();
    await log.said(/^warn .*refused the login/);
    peer.setPassword('shed', 'right one');
    await up;
    expect(broker.state()).toMatchObject({ connected: true, lastError: null });
  });

  test('says online while it lives, and offline when it stops', async () => {
    const peer = await mosquitto();
    const { seen, gone } = await watchService(peer.url);
    const { broker } = connection(peer.url, protocol);
    const up = connected(broker);
    broker.connect();
    await up;
    await broker.close();
    await gone;
    expect(seen).toEqual(['online', 'offline']);
    expect(broker.publish('shedbell/yard-mower/hours', '12', { retain: true })).toBe(false);
  });

  test('the broker says offline for it when its network is cut', async () => {
    const peer = await mosquitto();
    const { seen, gone } = await watchService(peer.url);
    const network = await openNetwork(peer.port);
    const { broker } = connection(network.url, protocol);
    const up = connected(broker);
    broker.connect();
    await up;
    await peer.logged(/Received PUBLISH from shedbell-test/);
    network.cut();
    await gone;
    expect(seen).toEqual(['online', 'offline']);
  });
});

test('a login that is refused is told in words a person can act on', async () => {
  const peer = await mosquitto({ users: { shed: 'right one' } });
  for (const protocol of ['3.1.1', '5'] as const) {
    const { broker, log } = connection(peer.url, protocol, { user: 'shed', password: 'wrong one' });
    broker.connect();
    await log.said(/^warn/);
    expect(broker.state().connected).toBe(false);
    expect(broker.state().lastError).toMatch(/refused the login: user or password is wrong/);
    expect(JSON.stringify(log.lines)).not.toContain('wrong one');
    await broker.close();
  }
});

test('nothing that answers is told as such', async () => {
  const peer = await mosquitto();
  await peer.kill();
  const { broker, log } = connection(peer.url, '5');
  broker.connect();
  await log.said(/^warn/);
  expect(broker.state().lastError).toMatch(/^Nothing answers at mqtt:\/\/127\.0\.0\.1:\d+/);
  const up = connected(broker);
  await peer.start();
  await up;
});

test('the embedded broker carries the demo on this computer, and a busy port is a clear fault', async () => {
  const embedded = await openEmbeddedBroker(0);
  closers.push(() => embedded.close());
  const { broker } = connection(embedded.url, '3.1.1');
  const { taken, complete, handler } = collector(2);
  broker.subscribe('shed/run', handler);
  const up = connected(broker);
  broker.connect();
  await up;
  const sensor = await publisher(embedded.url);
  await sensor.publishAsync('shed/run', '1', { qos: 1, retain: true });
  await sensor.publishAsync('shed/run', '2', { qos: 1 });
  await complete;
  expect(taken).toEqual(['1', '2']);
  await expect(openEmbeddedBroker(embedded.port)).rejects.toMatchObject({ code: 'broker-port-busy' });
});

test('a topic with a wildcard is refused before it is sent', async () => {
  const peer = await mosquitto();
  const { broker } = connection(peer.url, '5');
  for (const topic of ['', 'shed/#', 'shed/+/run', 'shed\u0000']) {
    expect(() => broker.subscribe(topic, () => undefined)).toThrow(/This topic cannot be used/);
  }
});
