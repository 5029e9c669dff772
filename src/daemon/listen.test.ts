import { once } from 'node:events';
import type { RequestListener } from 'node:http';
import { connect, type Socket } from 'node:net';
import { afterEach, expect, it } from 'vitest';
import { listen, pageServer } from './listen.js';

const open: (() => void)[] = [];
afterEach(() => {
  for (const close of open.splice(0)) close();
});

const limits = { headersTimeout: 20_000, requestTimeout: 60_000, silenceMs: 60_000, connections: 500 };

async function serve(app: RequestListener, changed: Partial<typeof limits>) {
  const server = await listen(pageServer(app, { ...limits, ...changed }), '127.0.0.1', 0, '');
  open.push(() => {
    server.closeAllConnections();
    server.close();
  });
  const address = server.address();
  const port = typeof address === 'object' && address !== null ? address.port : 0;
  return { server, port };
}

async function dial(port: number): Promise<Socket> {
  const socket = connect(port, '127.0.0.1');
  open.push(() => socket.destroy());
  socket.on('error', () => {});
  await once(socket, 'connect');
  return socket;
}

it('who asks for much and takes none of it is cut off', async () => {
  const much = 'x'.repeat(1_000_000);
  const { server, port } = await serve((_request, response) => response.end(much), { silenceMs: 200 });
  const coming = once(server, 'connection');
  const client = await dial(port);
  client.pause();
  const [held] = await coming;
  client.write('GET / HTTP/1.1\r\nHost: localhost\r\n\r\n'.repeat(60));
  await once(held, 'close');
  expect(held.bytesWritten).toBeLessThan(60 * much.length);
});

it('beyond so many connections a further one is refused, and those there are answered on', async () => {
  const { port } = await serve((_request, response) => response.end('here'), { connections: 3 });
  const first = await dial(port);
  await dial(port);
  await dial(port);
  const more = connect(port, '127.0.0.1');
  more.on('error', () => {});
  await once(more, 'close');
  expect(more.bytesRead).toBe(0);
  first.write('GET / HTTP/1.1\r\nHost: localhost\r\n\r\n');
  const [answer] = await once(first, 'data');
  expect(String(answer)).toMatch(/^HTTP\/1\.1 200 /);
});

it('what a service is opened with has a limit of each kind', () => {
  const { headersTimeout, requestTimeout, timeout, maxConnections } = pageServer(() => {});
  for (const limit of [headersTimeout, requestTimeout, timeout, maxConnections]) expect(limit).toBeGreaterThan(0);
});
