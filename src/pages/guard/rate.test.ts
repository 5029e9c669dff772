import { once } from 'node:events';
import { createServer } from 'node:http';
import express from 'express';
import { afterEach, expect, test } from 'vitest';
import { limitSignIn } from './rate.js';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0)) await close();
});

/** Tries at the password, each of which is a wrong one. */
async function door(addresses: readonly string[] = []) {
  const http = { host: '0.0.0.0', port: 8377, proxy: { addresses: [...addresses], userHeader: 'Remote-User' } };
  const app = express();
  app.post('/', ...limitSignIn(() => ({ http })), (_request, response) => void response.sendStatus(401));
  const server = createServer(app).listen(0, '127.0.0.1');
  await once(server, 'listening');
  closers.push(() => new Promise((done) => server.close(done)));
  const address = server.address();
  const port = address !== null && typeof address === 'object' ? address.port : 0;
  return async (forwardedFor: string) => {
    const headers = { 'x-forwarded-for': forwardedFor, connection: 'close' };
    return (await fetch(`http://127.0.0.1:${port}/`, { method: 'POST', headers })).status;
  };
}

test('each device behind a proxy has ten tries of its own, whatever it claims before the proxy’s word', async () => {
  const tries = await door();
  for (let i = 0; i < 10; i += 1) expect(await tries(`198.51.100.${i}, 192.0.2.44`)).toBe(401);
  expect(await tries('198.51.100.99, 192.0.2.44')).toBe(429);
  expect(await tries('192.0.2.45')).toBe(401);
  // The many addresses of one device of IPv6 are one.
  for (let i = 0; i < 10; i += 1) expect(await tries(`2001:db8::${i + 1}`)).toBe(401);
  expect(await tries('2001:db8::ffff')).toBe(429);
});

test('sixty tries pass through one proxy, whatever devices it names', async () => {
  const tries = await door();
  for (let i = 0; i < 60; i += 1) expect(await tries(`198.51.100.${i}`)).toBe(401);
  expect(await tries('203.0.113.1')).toBe(429);
});
