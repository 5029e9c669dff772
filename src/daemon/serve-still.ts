import { fileURLToPath } from 'node:url';
import { serviceTopic } from '../broker/connection.js';
import { publishOnce } from '../broker/publish-once.js';
import { minuteMs } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import type { Clock, Log } from '../domain/outside.js';
import type { PushDevice } from '../domain/push-device.js';
import type { Letter } from '../domain/results/letter.js';
import { createStillApp } from '../pages/still.js';
import type { StillWords } from '../words/still.js';
import { type Copy, copiesFolders, newestCopy } from './copies.js';
import { freePort, listen, pageServer } from './listen.js';
import { tellPastData } from './tell-past-data.js';
import { beatEveryMs, notifySystemd, openWatchdog } from './watchdog.js';

/** Why a service stands still, and when that is over. */
export interface Standstill {
  /** Names the trouble among those that are told past the data: `data-file`, `disk`, `settings`. */
  readonly key: string;
  /** The fault's code, for /health. */
  readonly code: string;
  /** What `shedbell/service` says on the broker meanwhile. */
  readonly state: 'damaged' | 'disk' | 'settings';
  readonly said: () => StillWords;
  readonly letter: () => Letter;
  /** Devices to push to, as far as they can be known. */
  readonly devices: () => readonly PushDevice[];
  /** The newest backup that is whole. */
  readonly copy: () => Copy | null;
  /** Asked every few seconds; cheap, and writes nothing while it is not over. */
  readonly isOver: () => boolean;
}

/** What both kinds are made from. */
export interface StillCause {
  readonly homeDir: string;
  readonly home: Home;
  readonly fault: Fault;
  readonly clock: Clock;
}

/** A service that stands still, with its one page open. */
export interface StandingStill {
  readonly port: number;
  /** Resolves once the service can be started. */
  readonly over: Promise<void>;
  close(): Promise<void>;
}

const webFolder = fileURLToPath(new URL('../../web', import.meta.url));
/** Between two looks whether it is over. */
const lookEveryMs = 5000;
const answerMs = 20_000;
/** How long a mail server may hold up the end. */
const closeWaitMs = 10_000;

/** Stays up while the data cannot be used: says so on every page and on /health, tells once by every way that works without the
 *  data, and waits until it is mended. It opens the data for nothing and holds no lock, so that `restore` can be run beside it.
 *  @throws Fault port-busy, page-not-served */
export async function serveStill(
  still: Standstill,
  options: {
    readonly homeDir: string;
    readonly home: Home;
    readonly clock: Clock;
    readonly log: Log;
    readonly host: string;
    readonly port: number;
  },
): Promise<StandingStill> {
  const { homeDir, home, clock, log } = options;
  const { household } = home;
  const app = createStillApp({
    household,
    port: options.port,
    webFolder,
    nowMs: () => clock.nowMs(),
    said: still.said,
    code: still.code,
    lastBackupAtMs: () => still.copy()?.madeAtMs ?? null,
  });
  const server = await listen(pageServer(app), options.host, options.port, freePort);
  const address = server.address();
  const watchdog = openWatchdog(() => true, notifySystemd(process.env));
  watchdog.ready();
  const beatMs = beatEveryMs(process.env);
  const beating = beatMs === null ? null : setInterval(() => watchdog.beat(), beatMs);

  const words = still.said();
  log.error(
    { code: still.code, remedy: words.before, command: words.command, copy: still.copy()?.file ?? null },
    words.lead,
  );
  const teller = tellPastData(still.key, {
    homeDir,
    household: () => household,
    devices: still.devices,
    clock,
    log,
  });
  const letter = still.letter();
  let under: Promise<void> = Promise.resolve();
  let lastToldMs = Number.NEGATIVE_INFINITY;
  const tell = () => {
    const nowMs = performance.now();
    if (nowMs - lastToldMs < minuteMs) return;
    lastToldMs = nowMs;
    under = teller.tell(letter).catch((failure: unknown) => log.error({ failure: String(failure) }, 'nobody was told'));
  };
  if (household.mqtt !== undefined) {
    void publishOnce(household.mqtt, serviceTopic, still.state, answerMs, { retain: true }).then((why) => {
      if (why !== null) log.warn({ reason: why }, 'the broker was not told');
    });
  }
  let ticker: NodeJS.Timeout | undefined;
  const over = new Promise<void>((done) => {
    ticker = setInterval(() => {
      tell();
      if (still.isOver()) done();
    }, lookEveryMs);
  });
  tell();

  return {
    port: address !== null && typeof address === 'object' ? address.port : options.port,
    over,
    async close() {
      clearInterval(ticker);
      if (beating !== null) clearInterval(beating);
      await new Promise<void>((done) => {
        server.close(() => done());
        server.closeAllConnections();
      });
      // A letter under way may have been taken already: whether it was is noted first.
      let timer: NodeJS.Timeout | undefined;
      const late = new Promise<void>((done) => {
        timer = setTimeout(done, closeWaitMs);
      });
      await Promise.race([under, late]);
      clearTimeout(timer);
    },
  };
}

/** The newest backup that is whole. Proving one takes its time on a small computer: at the first asking, after the page is open. */
export function copyWhenAsked(homeDir: string, home: Home): () => Copy | null {
  let found: Copy | null | undefined;
  return () => {
    if (found === undefined) found = newestCopy(...copiesFolders(homeDir, home.household));
    return found;
  };
}
