import { createECDH, randomBytes } from 'node:crypto';
import { expect, test } from 'vitest';
import { whySubscriptionUnfit } from './push-device.js';

const browser = createECDH('prime256v1');
const good = {
  endpoint: 'https://push.example.net/send/abc123',
  p256dh: browser.generateKeys('base64url'),
  auth: randomBytes(16).toString('base64url'),
};

test('what a browser hands over is fit', () => {
  expect(whySubscriptionUnfit(good)).toBeNull();
  expect(whySubscriptionUnfit({ ...good, p256dh: `${good.p256dh}=` })).toBeNull();
});

test.each([
  ['no address', { endpoint: '' }, 'not an address'],
  ['an address that is none', { endpoint: 'push me' }, 'not an address'],
  ['an endless address', { endpoint: `https://push.example.net/${'x'.repeat(2000)}` }, 'not an address'],
  ['plain http', { endpoint: 'http://push.example.net/x' }, 'not https'],
  ['a script', { endpoint: 'javascript:alert(1)' }, 'not https'],
  ['this computer', { endpoint: 'https://localhost/x' }, 'not a name on the internet'],
  ['this computer by number', { endpoint: 'https://127.0.0.1/x' }, 'not a name on the internet'],
  ['this computer by one number', { endpoint: 'https://2130706433/x' }, 'not a name on the internet'],
  ['the router', { endpoint: 'https://192.168.1.1/x' }, 'not a name on the internet'],
  ['IPv6', { endpoint: 'https://[fd00::1]/x' }, 'not a name on the internet'],
  ['a name at home', { endpoint: 'https://nas.local/x' }, 'not a name on the internet'],
  ['another port', { endpoint: 'https://push.example.net:8443/x' }, 'port'],
  ['a user name', { endpoint: 'https://a:b@push.example.net/x' }, 'user name'],
  ['a short key', { p256dh: good.p256dh.slice(0, 40) }, '65 bytes'],
  ['a compressed key', { p256dh: browser.getPublicKey('base64url', 'compressed') }, '65 bytes'],
  ['no key', { p256dh: '' }, '65 bytes'],
  ['a long secret', { auth: randomBytes(17).toString('base64url') }, '16 bytes'],
  ['a secret that is no text of this kind', { auth: '§$%&' }, '16 bytes'],
])('%s is refused with the reason', (_what, more, why) => {
  expect(whySubscriptionUnfit({ ...good, ...more })).toContain(why);
});
