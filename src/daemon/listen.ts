import type { Server } from 'node:net';
import { Fault } from '../domain/fault.js';

/** What a person can do where the port of the page is taken. */
export const freePort = 'Stop the other program, or set http: port: in household.yaml or SHEDBELL_PORT.';

/** A request that dribbles in for longer than this holds a connection that somebody else may need. */
export const slowLimits = { headersTimeout: 20_000, requestTimeout: 60_000 };

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
