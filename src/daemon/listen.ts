import { createServer, type Server as HttpServer, type RequestListener } from 'node:http';
import type { Server } from 'node:net';
import { Fault } from '../domain/fault.js';

/** What a person can do where the port of the page is taken. */
export const freePort = 'Stop the other program, or set http: port: in household.yaml or SHEDBELL_PORT.';

/** What one who connects may hold that somebody else may need. */
interface PageLimits {
  /** For all headers of a request, and for all of a request, to come in. */
  readonly headersTimeout: number;
  readonly requestTimeout: number;
  /** In which nothing moves, such as an answer that is not taken. */
  readonly silenceMs: number;
  /** At once: a household has some dozens; each costs memory, and some thousands all there is. */
  readonly connections: number;
}

const usualLimits: PageLimits = {
  headersTimeout: 20_000,
  requestTimeout: 60_000,
  silenceMs: 120_000,
  connections: 500,
};

/** A server of pages, not listening yet, that cuts off who dribbles a request in or leaves its answer untaken, and takes only so many
 *  connections at once.
 *  @param limits  handed in by tests */
export function pageServer(app: RequestListener, limits: PageLimits = usualLimits): HttpServer {
  const server = createServer(limits, app);
  server.setTimeout(limits.silenceMs);
  server.maxConnections = limits.connections;
  return server;
}

/** Opens a server at its address.
 *  @param remedy  what a person can do where the port is taken
 *  @throws Fault port-busy, page-not-served */
export function listen<S extends Server>(server: S, host: string, port: number, remedy: string): Promise<S> {
  return new Promise((done, fail) => {
    server.once('error', (cause: NodeJS.ErrnoException) => {
      const isBusy = cause.code === 'EADDRINUSE';
      fail(
        new Fault({
          code: isBusy ? 'port-busy' : 'page-not-served',
          message: isBusy
            ? `Port ${port} is taken by another program`
            : `The page cannot be served at ${host}:${port} (${cause.code ?? cause.message})`,
          remedy,
          retry: 'later',
          cause,
        }),
      );
    });
    server.listen(port, host, () => done(server));
  });
}
