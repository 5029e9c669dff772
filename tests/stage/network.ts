import { once } from 'node:events';
import { createConnection, createServer, type Socket } from 'node:net';

/** A way to a broker on this computer that can be cut, or go silent without a word. */
export interface Network {
  readonly url: string;
  /** Every connection breaks; new ones are possible at once. */
  cut(): void;
  /** Nothing passes in either direction and nobody is told, as behind a router that lost its memory; `cut` ends it. */
  freeze(): void;
  close(): void;
}

/** @param port  of the broker on the loopback */
export async function openNetwork(port: number): Promise<Network> {
  const pairs = new Set<readonly [Socket, Socket]>();
  const server = createServer((near) => {
    const pair = [near, createConnection(port, '127.0.0.1')] as const;
    const [, far] = pair;
    pairs.add(pair);
    for (const socket of pair) {
      socket.setNoDelay(true);
      socket.on('error', () => undefined);
      socket.on('close', () => {
        pairs.delete(pair);
        near.destroy();
        far.destroy();
      });
    }
    near.pipe(far);
    far.pipe(near);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  if (address === null || typeof address !== 'object') throw new Error('no port was given');
  const cut = () => {
    for (const pair of [...pairs]) for (const socket of pair) socket.destroy();
  };
  return {
    url: `mqtt://127.0.0.1:${address.port}`,
    cut,
    freeze() {
      for (const [near, far] of pairs) {
        near.unpipe(far);
        far.unpipe(near);
        // What still comes in is taken and thrown away: nobody sees an end.
        near.resume();
        far.resume();
      }
    },
    close() {
      cut();
      server.close();
    },
  };
}
