import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { copiesFolders, newestCopy } from '../daemon/copies.js';
import { openLog } from '../daemon/log.js';
import { serve } from '../daemon/serve.js';
import type { StandingStill } from '../daemon/serve-still.js';
import { hasServed, homeInUse, householdToTell } from '../daemon/settings-in-use.js';
import { toldMarker } from '../daemon/told-marker.js';
import { dataFolder, openService } from '../daemon/wire.js';
import { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import type { Clock, Log } from '../domain/outside.js';
import { sayReach } from '../home/addresses.js';
import type { Witness } from '../home/check-witness.js';
import { isDiskRefusal } from '../store/errors.js';
import { type Lock, takeLock } from '../store/lock.js';
import { damage, isDamage } from '../store/whole.js';
import { type At, clockAt, clockWitness, homeFolder, readHome } from './at.js';
import { withFacts } from './held-facts.js';
import { BadInput, exitStatus, type Output } from './output.js';

/** `shedbell start`: the service, until SIGTERM or Ctrl-C. Where the data file is damaged, the disk below it refuses, or no settings
 *  can be used though it ran before, it says so on its page and everywhere else until that is mended, and then goes on. */
export async function runStart(at: At, out: Output): Promise<number> {
  const log = openLog();
  // From now on: a stop that comes while it starts is a clean one too.
  let stopping: Promise<void> | null = null;
  for (;;) {
    const ready = readyToStart(at);
    if (stopping === null) {
      stopping = untilStopped();
      // A promise that nobody looked after leaves a state that nobody knows: the supervisor starts a service that knows where it stands.
      process.once('unhandledRejection', (failure) => {
        log.error({ failure: String(failure) }, 'something failed where nobody was looking');
        process.exit(exitStatus.failed);
      });
    }
    const cause = ready.unusable ?? (await run(ready, log, out, stopping));
    if (cause === null) return exitStatus.fine;
    const serving = await (typeof cause === 'string'
      ? standStillForSettings(at, ready, cause, log, out)
      : standStill(ready, cause, log, out));
    const isEnd = await Promise.race([stopping.then(() => true), serving.over.then(() => false)]);
    log.info({}, isEnd ? 'stopping' : 'the data can be used again: starting');
    await serving.close();
    if (isEnd) return exitStatus.fine;
  }
}

interface Ready {
  readonly homeDir: string;
  readonly home: Home;
  /** What is wrong in the files, where `home` is the one from before they were changed. */
  readonly refused: string | null;
  /** What is wrong in the files, where no settings from before can be used either: `home` has no machines then. */
  readonly unusable: string | null;
  readonly clock: Clock;
  readonly host: string;
  readonly port: number;
}

function readyToStart(at: At): Ready {
  const homeDir = homeFolder(at.home);
  const port = portGiven();
  // An emptied file would be taken for a new one: it is not opened before somebody looked whether copies tell otherwise.
  const read = (witness: Witness) => readOrKept(at, homeDir, witness);
  const clock = clockWitness(at);
  const { home, refused, unusable } = isEmptied(homeDir)
    ? read(clock)
    : withFacts(homeDir, clock, (witness) => read(witness));
  const { http } = home.household;
  return {
    homeDir,
    home,
    refused,
    unusable,
    clock: clockAt(at, home.household.zone),
    host: http.host,
    port: port ?? http.port,
  };
}

/** The home folder. Where a change to it has errors, the settings from before, and whoever can be told where there are none: a
 *  service that did not come back from a power cut because of a slip would be missed by nobody.
 *  @throws BadInput where no service ever ran, so that whoever sets one up reads it */
function readOrKept(at: At, homeDir: string, witness: Witness): Pick<Ready, 'home' | 'refused' | 'unusable'> {
  try {
    return { home: readHome(at, witness).home, refused: null, unusable: null };
  } catch (failure) {
    if (!(failure instanceof BadInput)) throw failure;
    const kept = homeInUse(homeDir);
    if (kept !== null) return { home: kept, refused: failure.message, unusable: null };
    if (!hasServed(homeDir)) throw failure;
    const home = { household: householdToTell(homeDir), machines: [] };
    return { home, refused: failure.message, unusable: failure.message };
  }
}

/** The one page of a service that has no settings to run with. */
async function standStillForSettings(
  at: At,
  ready: Ready,
  fault: string,
  log: Log,
  out: Output,
): Promise<StandingStill> {
  const { serveStill } = await import('../daemon/serve-still.js');
  const { stillForSettings } = await import('../daemon/still-settings.js');
  const isRight = () => {
    try {
      return readyToStart(at).unusable === null;
    } catch {
      // Its data cannot be read at this moment: the next look may.
      return false;
    }
  };
  const serving = await serveStill(stillForSettings({ ...ready, fault }, isRight), { ...ready, log });
  out.error(fault);
  out.line(
    `The settings have an error. The page says what to do, and the service waits: http://localhost:${serving.port}`,
  );
  return serving;
}

/** The one page of a service that cannot use its data, and word to everybody. */
async function standStill(ready: Ready, fault: Fault, log: Log, out: Output): Promise<StandingStill> {
  const { serveStill } = await import('../daemon/serve-still.js');
  const isDamaged: boolean = isDamage(fault);
  if (isDamaged) {
    const { stillForDamage } = await import('../daemon/still-damage.js');
    const serving = await serveStill(stillForDamage({ ...ready, fault }), { ...ready, log });
    const url = `http://localhost:${serving.port}`;
    out.line(`The data file is damaged (${fault.place}). What to type is said on the page: ${url}`);
    return serving;
  }
  const { stillForDisk } = await import('../daemon/still-disk.js');
  const serving = await serveStill(stillForDisk({ ...ready, fault }), { ...ready, log });
  out.line(`${fault.line} The page says what to do, and the service waits: http://localhost:${serving.port}`);
  return serving;
}

/** Serves until it is stopped.
 *  @returns the fault of the data file or of the disk below it where that is why it did not start; else null
 *  @throws Fault */
async function run(ready: Ready, log: Log, out: Output, stopped: Promise<void>): Promise<Fault | null> {
  const { homeDir, home, refused, clock, host, port } = ready;
  let lock: Lock | null = null;
  let isServing = false;
  try {
    lock = takeLock(dataFolder(homeDir), { pid: process.pid });
    // What was told of settings that could not be used is over.
    toldMarker(dataFolder(homeDir), 'settings').clear();
    const gone = isEmptied(homeDir)
      ? 'the file is empty'
      : existsSync(dataFile(homeDir))
        ? null
        : 'the file is not there';
    // Taken for a beginning, it would have its own backups drive out those of what was lost, night after night.
    if (gone !== null && newestCopy(...copiesFolders(homeDir, home.household)) !== null) {
      const anew = 'To begin anew instead, move those copies elsewhere and start again';
      return damage(dataFile(homeDir), `${gone}, but there are copies of what was in it. ${anew}`);
    }
    const service = openService({ homeDir, home, clock, log });
    try {
      const serving = await serve({ service, homeDir, host, port, log, isEarlier: refused !== null });
      if (refused !== null) out.error(`The settings from before the last change are in use: ${refused}`);
      out.line(`Shedbell for ${home.household.name}: http://localhost:${serving.port}`);
      const { household } = service.books.home();
      const reached = { ...household, http: { ...household.http, port: serving.port } };
      for (const sentence of sayReach(reached)) out.line(sentence);
      isServing = true;
      await stopped;
      log.info({}, 'stopping');
      await serving.close();
      return null;
    } catch (failure) {
      service.close();
      throw failure;
    }
  } catch (failure) {
    if (!isServing && isDamage(failure) && failure.place === dataFile(homeDir)) return failure;
    // Where no data are yet, a folder that may not be opened is a slip of somebody who is setting up and reads what is wrong.
    const isSlip = failure instanceof Fault && failure.code === 'store-cannot-open' && !existsSync(dataFile(homeDir));
    if (!isServing && !isSlip && isDiskRefusal(failure)) return failure;
    throw failure;
  } finally {
    lock?.release();
  }
}

const dataFile = (homeDir: string) => join(dataFolder(homeDir), 'shedbell.sqlite');

/** Whether the data file is there and holds nothing at all, not even a log beside it. */
function isEmptied(homeDir: string): boolean {
  const bytes = (end: string) => statSync(dataFile(homeDir) + end, { throwIfNoEntry: false })?.size;
  // What is no folder is told by whoever reads the home.
  if (statSync(homeDir, { throwIfNoEntry: false })?.isDirectory() !== true) return false;
  return bytes('') === 0 && (bytes('-wal') ?? 0) === 0;
}

/** The port of the page from SHEDBELL_PORT, 0 to 65535; 0 takes a free one. Undefined where it is not set.
 *  @throws BadInput for anything else */
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
