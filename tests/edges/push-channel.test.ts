import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, onTestFinished, test } from 'vitest';
import webPush from 'web-push';
import { isInnerAddress, keepSeconds, type PushLimits, pushChannel } from '../../src/channels/push.js';
import { pushContact, pushKeysIn } from '../../src/channels/push-keys.js';
import { mostBytes } from '../../src/channels/push-payload.js';
import { whySubscriptionUnfit } from '../../src/domain/push-device.js';
import { envelope } from '../stage/channel-suite.js';
import { noLog } from '../stage/no-log.js';
import { type Answers, limitsFor, stageBrowser, stagePushBook, startPushService } from '../stage/push-service.js';
import { promiseOfEveryWayOut } from '../stage/way-out-suite.js';

const keys = webPush.generateVAPIDKeys();
const contact = 'mailto:shed@example.org';
const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  await Promise.all(open.splice(0).map((close) => close()));
});

async function stage(ids: readonly string[], answers: Answers = {}, more: Partial<PushLimits> = {}) {
  const now = { answers };
  const service = await startPushService(() => now.answers);
  open.push(service.close);
  const browsers = ids.map((id) => stageBrowser(service, id));
  const { book, notes } = stagePushBook(browsers.map(({ device }) => device));
  const channel = pushChannel(keys, contact, book, noLog, limitsFor(service, more));
  return { service, browsers, notes, now, channel };
}

promiseOfEveryWayOut('push', async () => {
  const now: { answers: Answers } = { answers: {} };
  const service = await startPushService(() => now.answers);
  const { device, read } = stageBrowser(service, 'phone');
  const { book } = stagePushBook([device]);
  return {
    channel: pushChannel(keys, contact, book, noLog, limitsFor(service)),
    arrived: async () => service.took.map(({ body }) => read(body)),
    break: async () => service.close(),
    close: async () => service.close().catch(() => undefined),
  };
});

test('each device reads the letter, with its own keys, and is told how long, how urgent, and about which visit', async () => {
  const { service, browsers, channel } = await stage(['phone', 'desk']);
  const sent = envelope({ thread: '<root@shed.example>' });
  expect(await channel.deliver(sent)).toEqual({ kind: 'delivered', detail: '2 of 2 devices told' });
  expect(service.took.map(({ path }) => path)).toEqual(['/phone', '/desk']);
  service.took.forEach(({ headers, body }, index) => {
    const said = JSON.parse(browsers[index]?.read(body) ?? '');
    expect(said).toMatchObject({ title: sent.letter.subject, body: sent.letter.lead });
    expect(said.url).toContain('/v/hill-tractor-engine-oil-3');
    expect(headers).toMatchObject({ ttl: String(keepSeconds), urgency: 'normal', 'content-encoding': 'aes128gcm' });
    expect(headers.topic).toMatch(/^[A-Za-z0-9_-]{1,32}$/);
    expect(headers.topic).toBe(said.tag);
  });
  expect(keepSeconds).toBeGreaterThanOrEqual(8 * 3600);
  expect(keepSeconds).toBeLessThanOrEqual(24 * 3600);
});

test('later words about a visit bear the same topic, another visit another one', async () => {
  const { service, channel } = await stage(['phone']);
  await channel.deliver(envelope({ id: 'a', messageId: '<root@shed.example>' }));
  await channel.deliver(envelope({ id: 'b', messageId: '<b@shed.example>', thread: '<root@shed.example>' }));
  await channel.deliver(envelope({ id: 'c', messageId: '<c@shed.example>' }));
  const [first, second, third] = service.took.map(({ headers }) => headers.topic);
  expect(second).toBe(first);
  expect(third).not.toBe(first);
});

test.each(['ä', '🛢', '"', 'x', '\\'])('a letter full of %j is cut by bytes, and stays readable', async (letter) => {
  const { service, browsers, channel } = await stage(['phone']);
  await channel.deliver(envelope({ letter: { subject: letter.repeat(3000), lead: letter.repeat(9000), blocks: [] } }));
  const text = browsers[0]?.read(service.took[0]?.body ?? Buffer.alloc(0)) ?? '';
  expect(Buffer.byteLength(text)).toBeLessThanOrEqual(mostBytes);
  expect(Buffer.byteLength(text)).toBeGreaterThan(mostBytes - 20);
  expect(service.took[0]?.body.length).toBeLessThan(3072);
  expect(JSON.parse(text).body).toMatch(/^.+…$/u);
  expect(text).not.toContain('�');
});

describe('a push service that does not take it', () => {
  test.each([404, 410])('%i: that device is gone, the others are told', async (status) => {
    const { notes, channel } = await stage(['old', 'phone'], { old: { status } });
    expect((await channel.deliver(envelope())).kind).toBe('delivered');
    expect(notes.map(({ device, answer }) => [device, answer.kind])).toEqual([
      ['old', 'gone'],
      ['phone', 'taken'],
    ]);
  });

  test('410 from the last device: refused with what to do', async () => {
    const { channel } = await stage(['old'], { old: { status: 410 } });
    const delivery = await channel.deliver(envelope());
    expect(delivery.kind === 'refused' && delivery.reason).toContain('on the page');
  });

  test('429 with Retry-After: later, when it says', async () => {
    const { channel } = await stage(['phone'], { phone: { status: 429, headers: { 'Retry-After': '1800' } } });
    expect(await channel.deliver(envelope())).toMatchObject({ kind: 'try-later', afterMs: 1_800_000 });
  });

  test.each([
    ['a date', 'Sat, 05 Apr 2031 10:30:00 GMT', 1_800_000],
    ['a date that is past', 'Sat, 05 Apr 2031 09:30:00 GMT', null],
    ['no time at all', 'soon', null],
  ])('429 with Retry-After as %s', async (_what, retryAfter, afterMs) => {
    const headers = { 'Retry-After': retryAfter, Date: 'Sat, 05 Apr 2031 10:00:00 GMT' };
    const { channel } = await stage(['phone'], { phone: { status: 429, headers } });
    expect(await channel.deliver(envelope())).toMatchObject({ kind: 'try-later', afterMs });
  });

  test.each([500, 502, 503])('%i: later, at the usual pace', async (status) => {
    const { channel } = await stage(['phone'], { phone: { status } });
    const delivery = await channel.deliver(envelope());
    expect(delivery).toMatchObject({ kind: 'try-later', afterMs: null });
    expect(delivery.kind === 'try-later' && delivery.reason).toContain(String(status));
  });

  test.each(['hangs', 'dribbles'] as const)('one that %s is given up after the time allowed', async (way) => {
    const { notes, channel } = await stage(['phone'], { phone: way }, { answerMs: 300 });
    expect((await channel.deliver(envelope())).kind).toBe('try-later');
    expect(notes.map(({ answer }) => answer.kind)).toEqual(['later']);
  });

  test.each([400, 401, 403, 413])(
    '%i is about us: the device is kept, the refusal counted, and nothing repeated',
    async (status) => {
      const { notes, channel } = await stage(['phone'], { phone: { status } });
      const delivery = await channel.deliver(envelope());
      expect(delivery.kind === 'refused' && delivery.reason).toContain(String(status));
      expect(notes.map(({ answer }) => answer.kind)).toEqual(['refused']);
    },
  );

  test('a redirect is not followed', async () => {
    const { service, channel } = await stage(['phone'], { phone: { status: 307, headers: { Location: '/desk' } } });
    expect((await channel.deliver(envelope())).kind).toBe('refused');
    expect(service.took.map(({ path }) => path)).toEqual(['/phone']);
  });

  test('tried again, only the device that missed it is told', async () => {
    const { service, now, channel } = await stage(['phone', 'desk'], { desk: { status: 500 } });
    const delivery = await channel.deliver(envelope());
    expect(delivery.kind === 'try-later' && delivery.reason).toMatch(/^1 of 2 devices told so far/);
    now.answers = {};
    expect(await channel.deliver(envelope())).toEqual({ kind: 'delivered', detail: '2 of 2 devices told' });
    expect(service.took.map(({ path }) => path)).toEqual(['/phone', '/desk', '/desk']);
  });
});

test('a device whose address leads into the own network is never called', async () => {
  const { service, channel, notes } = await stage(['phone'], {}, { whyUnfit: whySubscriptionUnfit });
  expect((await channel.deliver(envelope())).kind).toBe('refused');
  expect(service.took).toEqual([]);
  expect(notes.map(({ answer }) => answer.kind)).toEqual(['refused']);
});

test.each([
  ['127.0.0.1', true],
  ['10.2.3.4', true],
  ['172.31.0.1', true],
  ['192.168.178.1', true],
  ['169.254.169.254', true],
  ['100.64.0.1', true],
  ['::1', true],
  ['fe80::1', true],
  ['fd12::5', true],
  ['::ffff:192.168.1.1', true],
  ['8.8.4.4', false],
  ['2606:4700::1', false],
  ['::ffff:8.8.4.4', false],
])('%s is of the own network: %s', (address, isInner) => expect(isInnerAddress(address)).toBe(isInner));

describe('the keys', () => {
  const folder = () => {
    const dir = mkdtempSync(join(tmpdir(), 'shedbell-push-'));
    onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
    return dir;
  };

  test('are made once, kept, and readable by the owner alone', () => {
    const dir = folder();
    const made = pushKeysIn(dir);
    expect(pushKeysIn(dir)).toEqual(made);
    expect(statSync(join(dir, 'push-keys.json')).mode & 0o777).toBe(0o600);
    expect(() => webPush.setVapidDetails(contact, made.publicKey, made.privateKey)).not.toThrow();
  });

  test.each(['', '{}', '{"publicKey":"x","privateKey":"y"}', 'nonsense'])(
    '%j in their place is not written over',
    (held) => {
      const dir = folder();
      writeFileSync(join(dir, 'push-keys.json'), held);
      expect(() => pushKeysIn(dir)).toThrow(/cannot be read/);
      expect(readFileSync(join(dir, 'push-keys.json'), 'utf8')).toBe(held);
    },
  );
});

test('whom a push service may write to is real, or push does not work', () => {
  const smtp = { host: 'h', port: 25, security: 'plain', from: 'The Shed <shed@example.org>' } as const;
  expect(pushContact({ people: [], smtp })).toBe('mailto:shed@example.org');
  expect(pushContact({ people: [{ id: 'a', name: 'A', mail: 'a@example.org' }] })).toBe('mailto:a@example.org');
  expect(pushContact({ people: [], address: 'https://shed.example.org' })).toBe('https://shed.example.org');
  for (const address of [
    'https://shed.local',
    'https://localhost:8377',
    'http://shed.example.org',
    'https://192.0.2.7',
  ])
    expect(pushContact({ people: [{ id: 'a', name: 'A', mail: 'a@localhost' }], address })).toBeNull();
});
