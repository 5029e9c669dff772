import { openLog } from '../daemon/log.js';
import { serve } from '../daemon/serve.js';
import { dataFolder, openService } from '../daemon/wire.js';
import { sayReach } from '../home/addresses.js';
import { takeLock } from '../store/lock.js';
import { type At, clockAt, clockWitness, homeFolder, readHome } from './at.js';
import { withFacts } from './held-facts.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** `shedbell start`: the service, until SIGTERM or Ctrl-C. */
export async function runStart(at: At, out: Output): Promise<number> {
  const { dir, home } = withFacts(homeFolder(at.home), clockWitness(at), (witness) => readHome(at, witness));
  const { http } = home.household;
  const port = portGiven() ?? http.port;
  const clock = clockAt(at, home.household.zone);
  const log = openLog();
  // From now on: a stop that comes while it starts is a clean one too.
  const stopped = untilStopped();
  // A promise that nobody looked after leaves a state that nobody knows: the supervisor starts a service that knows where it stands.
  process.once('unhandledRejection', (failure) => {
    log.error({ failure: String(failure) }, 'something failed where nobody was looking');
    process.exit(exitStatus.failed);
  });
  const lock = takeLock(dataFolder(dir), { pid: process.pid });
  try {
    const service = openService({ homeDir: dir, home, clock, log });
    try {
      const serving = await serve({ service, homeDir: dir, host: http.host, port, log });
      out.line(`Shedbell for ${home.household.name}: http://localhost:${serving.port}`);
      const { household } = service.books.home();
      const reached = { ...household, http: { ...household.http, port: serving.port } };
      for (const sentence of sayReach(reached)) out.line(sentence);
      await stopped;
      log.info({}, 'stopping');
      await serving.close();
      return exitStatus.fine;
    } catch (failure) {
      service.close();
      throw failure;
    }
  } finally {
    lock.release();
  }
}

/** The port of the page from SHEDBELL_PORT. */
export function portGiven(): number | undefined {
  const text = process.env.SHEDBELL_PORT;
  if (text === undefined || text === '') return undefined;
  const port = Number(text);
  if (!/^\d{1,5}$/.test(text) || port > 65_535) {
    throw new BadInput(`SHEDBELL_PORT wants a port from 0 to 65535 (found ${JSON.stringify(text)}).`);
  }
  return port;
}

/** Resolves at the first SIGTERM or SIGINT; a second one ends the process at once. */
export function untilStopped(): Promise<void> {
  return new Promise((done) => {
    for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => done());
  });
}
