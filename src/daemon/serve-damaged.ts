import { statSync } from 'node:fs';
import { createServer } from 'node:http';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { serviceTopic } from '../broker/connection.js';
import { publishOnce } from '../broker/publish-once.js';
import { dayOf, minuteMs } from '../domain/day.js';
import type { Fault } from '../domain/fault.js';
import type { Home } from '../domain/home.js';
import type { Clock, Log } from '../domain/outside.js';
import { createDamagedApp } from '../pages/damaged.js';
import { takeLock } from '../store/lock.js';
import { whyDamaged } from '../store/whole.js';
import { sayDamage, writeDamageLetter } from '../words/damage.js';
import { type Copy, copiesFolder, newestCopy } from './copies.js';
import { freePort, listen } from './listen.js';
import { tellPastData } from './tell-past-data.js';
import { beatEveryMs, notifySystemd, openWatchdog } from './watchdog.js';
import { dataFolder } from './wire.js';

/** A service whose data file is damaged, with its one page open. */
export interface ServingDamaged {
  readonly port: number;
  /** Resolves once the file was replaced by one that is whole, and whoever replaced it is done. */
  readonly whole: Promise<void>;
  close(): Promise<void>;
}

const webFolder = fileURLToPath(new URL('../../web', import.meta.url));
/** Between two looks whether the file was replaced: cheap, one call to the file system. */
const lookEveryMs = 5000;
const answerMs = 20_000;
/** How long a mail server may hold up the end. */
const closeWaitMs = 10_000;

/** Stays up while the data file is damaged: says so on every page and on /health, tells once by every way that works without the
 *  data, and waits for a restore. It opens the file for nothing and holds no lock, so that `restore` can be run beside it.
 *  @param fault  what was found at the start
 *  @throws Fault port-busy, page-not-served */
export async function serveDamaged(options: {
  readonly homeDir: string;
  readonly home: Home;
  readonly fault: Fault;
  readonly clock: Clock;
  readonly log: Log;
  readonly host: string;
  readonly port: number;
}): Promise<ServingDamaged> {
  const { homeDir, home, fault, clock, log } = options;
  const { household } = home;
  const file = join(dataFolder(homeDir), 'shedbell.sqlite');
  const copies = copiesFolder(homeDir, household);
  let found: Copy | null | undefined;
  // Proving a copy takes its time on a small computer: at the first asking, after the page is open.
  const copy = () => {
    if (found === undefined) found = newestCopy(copies);
    return found;
  };
  const said = () => {
    const newest = copy();
    return sayDamage(
      {
        file,
        found: fault.found ?? fault.message,
        copy: newest === null ? null : { file: newest.file, day: dayOf(newest.madeAtMs, household.zone) },
        copies,
        home: homeDir,
        standsStill: true,
      },
      dayOf(clock.nowMs(), household.zone),
      household.locale,
    );
  };
  const app = createDamagedApp({
    household,
    port: options.port,
    webFolder,
    nowMs: () => clock.nowMs(),
    said,
    code: fault.code,
    lastBackupAtMs: () => copy()?.madeAtMs ?? null,
  });
  const server = await listen(createServer(app), options.host, options.port, freePort);
  const address = server.address();
  const watchdog = openWatchdog(() => true, notifySystemd(process.env));
  watchdog.ready();
  const beatMs = beatEveryMs(process.env);
  const beating = beatMs === null ? null : setInterval(() => watchdog.beat(), beatMs);

  const words = said();
  log.error({ file, found: fault.found, restore: words.command, copy: copy()?.file ?? null }, words.lead);
  const teller = tellPastData('data-file', {
    homeDir,
    household: () => household,
    copy: () => copy()?.file ?? null,
    clock,
    log,
  });
  const letter = writeDamageLetter(words, household.name);
  let under: Promise<void> = Promise.resolve();
  let lastToldMs = Number.NEGATIVE_INFINITY;
  const tell = () => {
    const nowMs = performance.now();
    if (nowMs - lastToldMs < minuteMs) return;
    lastToldMs = nowMs;
    under = teller.tell(letter).catch((failure: unknown) => log.error({ failure: String(failure) }, 'nobody was told'));
  };
  if (household.mqtt !== undefined) {
    void publishOnce(household.mqtt, serviceTopic, 'damaged', answerMs, { retain: true }).then((why) => {
      if (why !== null) log.warn({ reason: why }, 'the broker was not told');
    });
  }
  const before = markOf(file);
  let ticker: NodeJS.Timeout | undefined;
  const whole = new Promise<void>((done) => {
    ticker = setInterval(() => {
      tell();
      if (markOf(file) !== before && isReplaced(file, dataFolder(homeDir))) done();
    }, lookEveryMs);
  });
  tell();

  return {
    port: address !== null && typeof address === 'object' ? address.port : options.port,
    whole,
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

/** Changes when a file is replaced or written. A file that is not there is no replacement. */
function markOf(file: string): string {
  const stat = statSync(file, { throwIfNoEntry: false });
  return stat === undefined ? '' : `${stat.ino} ${stat.size} ${stat.mtimeMs}`;
}

/** Whether a whole file stands there and nobody works on it any more. */
function isReplaced(file: string, folder: string): boolean {
  if (markOf(file) === '') return false;
  try {
    takeLock(folder, { pid: process.pid }).release();
    return whyDamaged(file, 0) === null;
  } catch {
    return false;
  }
}
