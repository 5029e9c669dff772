import { once } from 'node:events';
import { createServer, type Socket } from 'node:net';
import mqtt from 'mqtt';
import { afterEach, describe, expect, test } from 'vitest';
import { type Broker, type BrokerSettings, openBroker, serviceTopic } from '../../src/broker/connection.js';
import { makeCertificate } from '../stage/certificate.js';
import { rememberLog } from '../stage/feeds.js';
import { type Mosquitto, startMosquitto } from '../stage/mosquitto.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function mosquitto(how: Parameters<typeof startMosquitto>[0] = {}): Promise<Mosquitto> {
  const peer = await startMosquitto(how);
  closers.push(() => peer.remove());
  return peer;
}

function connection(settings: Omit<BrokerSettings, 'clientId'> & { readonly clientId?: string }, random = () => 0.5) {
  const log = rememberLog();
  const broker = openBroker(
    { clientId: 'shedbell-test', ...settings },
    { clock: { nowMs: () => 1_000 }, log, random, pace: { leastMs: 20, mostMs: 80 } },
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

/** Something on a port that hands the first bytes of each connection on, and says nothing. */
async function listener(heard: (bytes: Buffer, socket: Socket) => void) {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('error', () => undefined);
    socket.once('data', (bytes) => heard(bytes, socket));
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  closers.push(() => {
    for (const socket of sockets) socket.destroy();
    server.close();
  });
  const address = server.address();
  return `mqtt://127.0.0.1:${typeof address === 'object' ? address?.port : 0}`;
}

/** The CONNECT packet that the settings bring about. */
async function connectPacket(settings: Omit<BrokerSettings, 'clientId' | 'url'>): Promise<Buffer> {
  let take: (bytes: Buffer) => void = () => undefined;
  const packet = new Promise<Buffer>((resolve) => {
    take = resolve;
  });
  connection({ url: await listener((bytes) => take(bytes)), ...settings }).broker.connect();
  return packet;
}

/** Connect Flags: the byte after the protocol name and level (MQTT 3.1.1 and 5, section 3.1.2). */
const flagsOf = (packet: Buffer) => packet[packet.indexOf('MQTT') + 5] ?? 0;
const cleanFlag = 0x02;
const willFlag = 0x04;
const userAndPassword = 0xc0;
/** Property 17, Session Expiry Interval, four bytes (MQTT 5 section 3.1.2.11.2): thirty days. */
const thirtyDays = Buffer.from([0x11, 0x00, 0x27, 0x8d, 0x00]);

describe('what the service asks of a broker', () => {
  test('over MQTT 5 a session that is kept for thirty days, with a last will', async () => {
    const packet = await connectPacket({ protocol: '5' });
    expect(packet.includes(thirtyDays)).toBe(true);
    expect(flagsOf(packet) & cleanFlag).toBe(0);
    expect(flagsOf(packet) & willFlag).toBe(willFlag);
    expect(packet.includes(serviceTopic)).toBe(true);
  });

  test('over MQTT 3.1.1 a session that is kept, with a last will, and user and password where they are set', async () => {
    const packet = await connectPacket({ protocol: '3.1.1', user: 'shed', password: 'a word' });
    expect(flagsOf(packet) & (cleanFlag | willFlag | userAndPassword)).toBe(willFlag | userAndPassword);
  });

  test.each(['3.1.1', '5'] as const)(
    'as a guest over MQTT %s nothing that is kept, and no last will',
    async (protocol) => {
      const packet = await connectPacket({ protocol, isGuest: true });
      expect(flagsOf(packet) & (cleanFlag | willFlag)).toBe(cleanFlag);
      expect(packet.includes(thirtyDays)).toBe(false);
      expect(packet.includes(serviceTopic)).toBe(false);
    },
  );

  test('a fresh wait, drawn anew, for each attempt that fails', async () => {
    let attempts = 0;
    let drawn = 0;
    let done: () => void = () => undefined;
    const enough = new Promise<void>((resolve) => {
      done = resolve;
    });
    const url = await listener((_bytes, socket) => {
      attempts += 1;
      if (attempts === 5) done();
      socket.destroy();
    });
    const { broker } = connection({ url, protocol: '5' }, () => {
      drawn += 1;
      return 0;
    });
    broker.connect();
    await enough;
    expect(drawn).toBeGreaterThanOrEqual(attempts);
  });
});

describe.each(['3.1.1', '5'] as const)('over MQTT %s with a real broker', (protocol) => {
  test('a connection by TLS is made where the authority is known, and named in plain words where it is not', async () => {
    const pair = makeCertificate(Date.now());
    const peer = await mosquitto({ tls: pair, users: { shed: 'a word' } });
    const login = { url: peer.url, protocol, user: 'shed', password: 'a word' };
    const trusting = connection({ ...login, caPem: pair.cert }).broker;
    const up = connected(trusting);
    trusting.connect();
    await up;
    await trusting.close();

    const strict = connection(login);
    strict.broker.connect();
    await strict.log.said(/^warn .*is not trusted here/);
    expect(strict.broker.state()).toMatchObject({ connected: false });
    expect(strict.broker.state().lastError).toContain('set caFile');
  });

  test('two services with one client id are told of it, and it stays said while one of them is connected', async () => {
    const peer = await mosquitto();
    const one = connection({ url: peer.url, protocol });
    const other = connection({ url: peer.url, protocol });
    one.broker.connect();
    other.broker.connect();
    const told = await Promise.race(
      [one, other].map(async (side) => {
        await side.log.said(/^warn .*[Ii]s (it|the service) started twice/);
        return side.broker;
      }),
    );
    await connected(told);
    expect(told.state()).toMatchObject({ connected: true, isContested: true });
  });

  test('a guest takes nothing away from the service: no session, no message, no word of its own', async () => {
    const peer = await mosquitto();
    const said: string[] = [];
    const watcher = await mqtt.connectAsync(peer.url, { clientId: 'watcher' });
    closers.push(() => watcher.endAsync(true));
    watcher.on('message', (_topic, payload) => said.push(payload.toString()));
    await watcher.subscribeAsync(serviceTopic, { qos: 1 });
    const service = connection({ url: peer.url, protocol });
    service.broker.subscribe('barn/pump/run', () => undefined);
    const up = connected(service.broker);
    service.broker.connect();
    await up;
    await peer.logged(/Sending SUBACK to shedbell-test/);
    await service.broker.close();

    const guest = connection({ url: peer.url, protocol, clientId: 'shedbell-watch-1', isGuest: true });
    const heard: string[] = [];
    let first: () => void = () => undefined;
    const seen = new Promise<void>((resolve) => {
      first = resolve;
    });
    guest.broker.subscribe('barn/pump/run', (_topic, payload) => {
      heard.push(payload.toString());
      first();
    });
    guest.broker.connect();
    await peer.logged(/Sending SUBACK to shedbell-watch-1/);
    await watcher.publishAsync('barn/pump/run', '60', { qos: 1 });
    await seen;
    await guest.broker.close();
    expect(heard).toEqual(['60']);

    const kept: string[] = [];
    const again = connection({ url: peer.url, protocol });
    const delivered = new Promise<void>((resolve) => {
      again.broker.subscribe('barn/pump/run', (_topic, payload) => {
        kept.push(payload.toString());
        resolve();
      });
    });
    again.broker.connect();
    await delivered;
    expect(kept).toEqual(['60']);
    expect(said.slice(0, 2)).toEqual(['online', 'offline']);
    expect(said.filter((word) => word === 'offline')).toHaveLength(1);
  });
});
