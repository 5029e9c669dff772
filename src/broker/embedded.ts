import { createServer } from 'node:net';
import { Aedes } from 'aedes';
import { Fault } from '../domain/fault.js';
import { brokerFaults } from './errors.js';

/** A small broker inside this process, for the demo: MQTT 3.1.1, in memory, this computer only. */
export interface EmbeddedBroker {
  readonly url: string;
  readonly port: number;
  close(): Promise<void>;
}

/** Listens on 127.0.0.1 and turns away every other peer.
 *  @param port  TCP port; 0 takes a free one
 *  @throws Fault broker-port-busy */
export async function openEmbeddedBroker(port: number): Promise<EmbeddedBroker> {
  const broker = await Aedes.createBroker();
  const server = createServer((socket) => {
    if (isLoopback(socket.remoteAddress)) broker.handle(socket);
    else socket.destroy();
  });
  try {
    await new Promise<void>((resolve, reject) => {
      server.once('error', reject);
      server.listen(port, '127.0.0.1', resolve);
    });
  } catch (cause) {
    await new Promise<void>((resolve) => broker.close(resolve));
    throw new Fault({
      code: brokerFaults.portBusy,
      message: 'The broker of the demo cannot listen',
      place: `127.0.0.1:${port}`,
      found: cause instanceof Error ? cause.message : String(cause),
      remedy: 'Stop the program that uses this port, or let the demo choose a free one.',
      retry: 'after-fix',
      cause,
    });
  }
  const address = server.address();
  const taken = typeof address === 'object' && address !== null ? address.port : port;
  return {
    url: `mqtt://127.0.0.1:${taken}`,
    port: taken,
    async close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      await new Promise<void>((resolve) => broker.close(resolve));
      await closed;
    },
  };
}

/** Source: RFC 1122 section 3.2.1.3 (127/8), RFC 4291 section 2.5.3 (::1) and 2.5.5.2 (mapped). */
function isLoopback(address: string | undefined): boolean {
  return address !== undefined && (/^(::ffff:)?127\./.test(address) || address === '::1');
}
