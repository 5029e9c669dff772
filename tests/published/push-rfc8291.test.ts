import { createECDH, createPublicKey, verify } from 'node:crypto';
import { decrypt, encrypt } from 'http_ece';
import { afterAll, beforeAll, expect, test } from 'vitest';
import webPush from 'web-push';
import { pushChannel } from '../../src/channels/push.js';
import { envelope } from '../stage/channel-suite.js';
import { noLog } from '../stage/no-log.js';
import { limitsFor, type PushService, stageBrowser, stagePushBook, startPushService } from '../stage/push-service.js';

// Source: RFC 8291 (Message Encryption for Web Push), section 5 and appendix A: keys, salt and the whole body of its example.
const example = {
  plain: 'When I grow up, I want to be a watermelon',
  serverPrivate: 'yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw',
  serverPublic: 'BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8',
  browserPrivate: 'q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94',
  browserPublic: 'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
  auth: 'BTBZMqHH6r4Tts7J_aSIgg',
  salt: 'DGv6ra1nlYgDCS1FRnbzlw',
  body: 'DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN',
} as const;

function pair(secret: string) {
  const ecdh = createECDH('prime256v1');
  ecdh.setPrivateKey(Buffer.from(secret, 'base64url'));
  return ecdh;
}

test('the independent reader of our tests is one: it makes and reads the example of RFC 8291 byte for byte', () => {
  const server = pair(example.serverPrivate);
  const browser = pair(example.browserPrivate);
  expect(server.getPublicKey('base64url')).toBe(example.serverPublic);
  expect(browser.getPublicKey('base64url')).toBe(example.browserPublic);
  const made = encrypt(Buffer.from(example.plain), {
    version: 'aes128gcm',
    privateKey: server,
    dh: example.browserPublic,
    salt: example.salt,
    authSecret: example.auth,
  });
  expect(made.toString('base64url')).toBe(example.body);
  const read = decrypt(Buffer.from(example.body, 'base64url'), {
    version: 'aes128gcm',
    privateKey: browser,
    authSecret: example.auth,
  });
  expect(read.toString()).toBe(example.plain);
});

const keys = webPush.generateVAPIDKeys();
const contact = 'mailto:shed@example.org';
let service: PushService;
beforeAll(async () => {
  service = await startPushService();
});
afterAll(() => service.close());

async function pushed() {
  const browser = stageBrowser(service, 'phone');
  const { book } = stagePushBook([browser.device]);
  await pushChannel(keys, contact, book, noLog, limitsFor(service)).deliver(envelope());
  const [last] = service.took.slice(-1);
  if (last === undefined) throw new Error('nothing was pushed');
  return { ...last, browser };
}

test('what we push is one record of aes128gcm as RFC 8188 section 2 and RFC 8291 section 4 lay it out, and http_ece reads it', async () => {
  const { body, browser } = await pushed();
  const recordSize = body.readUInt32BE(16);
  expect(body.readUInt8(20)).toBe(65);
  expect(body.readUInt8(21)).toBe(4);
  expect(body.length - 86).toBeLessThanOrEqual(recordSize);
  expect(body.length).toBeLessThanOrEqual(4096);
  expect(JSON.parse(browser.read(body)).title).toBe(envelope().letter.subject);
});

test('each push has a salt and a key of its own (RFC 8291 section 3.1)', async () => {
  const [first, second] = [await pushed(), await pushed()];
  expect(first.body.subarray(0, 16)).not.toEqual(second.body.subarray(0, 16));
  expect(first.body.subarray(21, 86)).not.toEqual(second.body.subarray(21, 86));
});

test('a browser with another secret reads nothing', async () => {
  const { body } = await pushed();
  expect(() => stageBrowser(service, 'other').read(body)).toThrow();
});

test('the token says for whom, until when and who we are, signed with ES256 as RFC 8292 asks, and node:crypto agrees', async () => {
  const { headers } = await pushed();
  const [, token = '', key = ''] = /^vapid t=([^,\s]+),\s*k=([^,\s]+)$/.exec(String(headers.authorization)) ?? [];
  expect(key).toBe(keys.publicKey);
  const [head = '', claims = '', signature = ''] = token.split('.');
  const point = Buffer.from(key, 'base64url');
  const publicKey = createPublicKey({
    format: 'jwk',
    key: {
      kty: 'EC',
      crv: 'P-256',
      x: point.subarray(1, 33).toString('base64url'),
      y: point.subarray(33).toString('base64url'),
    },
  });
  const signed = Buffer.from(signature, 'base64url');
  const text = Buffer.from(`${head}.${claims}`);
  expect(verify('sha256', text, { key: publicKey, dsaEncoding: 'ieee-p1363' }, signed)).toBe(true);
  expect(verify('sha256', Buffer.from(`${head}.x`), { key: publicKey, dsaEncoding: 'ieee-p1363' }, signed)).toBe(false);
  expect(JSON.parse(Buffer.from(head, 'base64url').toString())).toEqual({ typ: 'JWT', alg: 'ES256' });
  const said = JSON.parse(Buffer.from(claims, 'base64url').toString());
  expect(said).toMatchObject({ aud: service.url, sub: contact });
  // RFC 8292 section 2: not more than a day ahead.
  expect(said.exp * 1000 - Date.now()).toBeGreaterThan(0);
  expect(said.exp * 1000 - Date.now()).toBeLessThanOrEqual(86_400_000);
});
