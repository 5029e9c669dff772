import { createECDH, randomBytes } from 'node:crypto';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { makePermit, readPermit } from '../../src/ledger/permit.js';
import { pushDevices } from '../../src/ledger/push-devices.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

const asking = () => ({
  person: pages.books.home().household.people[0]?.id ?? '',
  endpoint: 'https://push.example.net/send/phone',
  p256dh: createECDH('prime256v1').generateKeys('base64url'),
  auth: randomBytes(16).toString('base64url'),
});

test('the page says why https is needed, hands over the key, and hides the button until a script knows that it can work', async () => {
  const { status, text, headers } = await pages.get('/devices');
  expect(status).toBe(200);
  expect(text).toContain('https');
  expect(text).toContain(`data-push-key="${'B'.repeat(87)}"`);
  expect(text).toMatch(/<div data-push-form="true" hidden/);
  expect(headers.get('content-security-policy')).toContain("worker-src 'self'");
});

test('a browser that asks is taken, listed by its push service alone, and taken away again', async () => {
  const answer = await pages.post('/devices', asking());
  expect([answer.status, answer.text]).toEqual([200, 'Messages are shown on this device from now on.\n']);
  expect(pushDevices(pages.books)).toHaveLength(1);
  const { text } = await pages.get('/devices');
  expect(text).toContain('push.example.net');
  expect(text).not.toContain('/send/phone');
  const action = /action="(\/devices\/[^"]+\/remove)"/.exec(text)?.[1] ?? '';
  expect((await pages.post(action, {})).status).toBe(303);
  expect(pushDevices(pages.books)).toEqual([]);
});

test('asked again at each page opened, it stays one device', async () => {
  const same = asking();
  for (let n = 0; n < 3; n += 1) expect((await pages.post('/devices', same)).status).toBe(200);
  expect(pushDevices(pages.books)).toHaveLength(1);
});

test.each([
  ['an address in the own network', { endpoint: 'https://192.168.1.1/' }, 'not a name on the internet'],
  ['no keys', { p256dh: '', auth: '' }, 'public key'],
  ['nobody of ours', { person: 'nobody' }, 'Nobody of that name'],
])('%s is refused with the reason', async (_what, more, why) => {
  const { status, text } = await pages.post('/devices', { ...asking(), ...more });
  expect(status).toBe(400);
  expect(text).toContain(why);
  expect(pushDevices(pages.books)).toEqual([]);
});

test('another site cannot put its own device in', async () => {
  const { status } = await pages.post('/devices', asking(), { origin: 'https://elsewhere.example' });
  expect(status).toBe(403);
  expect(pushDevices(pages.books)).toEqual([]);
});

test('the worker lies at the root, is asked for anew, shows every push and waits for it', async () => {
  const { status, text, headers } = await pages.get('/worker.js');
  expect(status).toBe(200);
  expect(headers.get('content-type')).toContain('javascript');
  expect(headers.get('cache-control')).toBe('no-cache');
  const heard = new Map<string, (event: object) => void>();
  const shown: unknown[] = [];
  const opened: string[] = [];
  const scope = {
    addEventListener: (name: string, listener: (event: object) => void) => heard.set(name, listener),
    skipWaiting: () => {},
    location: { origin: 'https://shed.example.org' },
    registration: { showNotification: async (title: string, more: object) => shown.push({ title, ...more }) },
    clients: { claim: async () => {}, openWindow: async (url: string) => opened.push(url) },
  };
  new Function('self', text)(scope);
  const waited: Promise<unknown>[] = [];
  const waitUntil = (promise: Promise<unknown>) => waited.push(promise);
  const said = { title: 'Oil', body: 'Tomorrow.', url: 'http://192.0.2.7:8377/v/abc', tag: 't' };
  heard.get('push')?.({ data: { json: () => said }, waitUntil });
  heard.get('push')?.({ data: { json: () => JSON.parse('{') }, waitUntil });
  heard.get('push')?.({ data: null, waitUntil });
  expect(waited).toHaveLength(3);
  expect(shown).toMatchObject([
    { title: 'Oil', body: 'Tomorrow.', tag: 't' },
    { tag: 'shedbell' },
    { tag: 'shedbell' },
  ]);
  heard.get('notificationclick')?.({ notification: { close: () => {}, data: { url: said.url } }, waitUntil });
  expect(opened).toEqual(['https://shed.example.org/v/abc']);
});

test('links of messages that went out are closed with one tap, once, and those to come open', async () => {
  const permit = { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 30 } as const;
  const sent = makePermit(pages.books, permit);
  expect((await pages.get(`/r/${sent}`)).status).toBe(200);
  const { text } = await pages.get('/devices');
  const was = /name="was" value="([^"]+)"/.exec(text)?.[1] ?? '';
  expect((await pages.post('/devices/links/close', { was }, { origin: 'https://elsewhere.example' })).status).toBe(403);
  expect(readPermit(pages.books, sent).kind).toBe('valid');
  expect((await pages.post('/devices/links/close', { was })).status).toBe(303);
  expect((await pages.get(`/r/${sent}`)).status).toBe(403);
  const next = makePermit(pages.books, permit);
  // The same form once more, from a page that was open before.
  await pages.post('/devices/links/close', { was });
  expect((await pages.get(`/r/${next}`)).status).toBe(200);
  expect((await pages.get('/devices?links=closed')).text).toContain('open nothing any more');
});
