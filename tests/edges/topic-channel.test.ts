import { connectAsync } from 'mqtt';
import { afterEach, expect, test } from 'vitest';
import { noticeTopic, topicChannel } from '../../src/channels/topic.js';
import { envelope } from '../stage/channel-suite.js';
import { findClosedPort } from '../stage/mail-server.js';
import { startMosquitto } from '../stage/mosquitto.js';
import { promiseOfEveryWayOut } from '../stage/way-out-suite.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function stage() {
  const broker = await startMosquitto();
  const url = `mqtt://127.0.0.1:${broker.port}`;
  const reader = await connectAsync(url, { reconnectPeriod: 0 });
  reader.on('error', () => undefined);
  const heard: { readonly text: string; readonly retain: boolean }[] = [];
  reader.on('message', (_topic, payload, packet) => heard.push({ text: payload.toString(), retain: packet.retain }));
  await reader.subscribeAsync(noticeTopic, { qos: 1 });
  const settled = async () => {
    // A round trip after the notice: what the broker had is with the reader by then.
    await reader.unsubscribeAsync('nothing/of/ours');
    return heard;
  };
  const close = async () => {
    await reader.endAsync(true).catch(() => undefined);
    await broker.remove();
  };
  return { url, settled, broker, close };
}

promiseOfEveryWayOut('the notice topic', async () => {
  const { url, settled, broker, close } = await stage();
  return {
    channel: topicChannel({ url, protocol: '5' }, 5000),
    arrived: async () => (await settled()).map(({ text }) => text),
    break: async () => broker.remove(),
    close,
  };
});

test('the notice is one JSON object with the documented keys, not retained, and without any link', async () => {
  const { url, settled, close } = await stage();
  closers.push(close);
  expect((await topicChannel({ url, protocol: '3.1.1' }, 5000).deliver(envelope())).kind).toBe('delivered');
  const [one] = await settled();
  const said = JSON.parse(one?.text ?? '');
  expect(Object.keys(said)).toEqual(['id', 'at', 'to', 'title', 'text', 'thread']);
  expect(said).toMatchObject({ id: 'letter-1', at: '2031-03-21T18:30:00Z', to: 'marta' });
  expect(one?.retain).toBe(false);
  expect(one?.text).not.toContain('http');
});

test('a broker that is not there is said in plain words, without the login', async () => {
  const url = `mqtt://127.0.0.1:${await findClosedPort()}`;
  const delivery = await topicChannel({ url, protocol: '5', user: 'shed', password: 'secret word' }, 3000).deliver(
    envelope(),
  );
  expect(delivery.kind === 'try-later' && delivery.reason).toContain('Nothing answers');
  expect(JSON.stringify(delivery)).not.toContain('secret word');
});
