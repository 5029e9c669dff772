import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import cron from 'node-cron';
import { hourMs, minuteMs } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Ill } from '../domain/ill.js';
import type { Log } from '../domain/outside.js';
import { topicStates } from '../formats/topic-states.js';
import type { Witness } from '../home/check-witness.js';
import { leftBehind } from '../ledger/left-behind.js';
import { newestFactMs } from '../ledger/newest-fact.js';
import { openSetUp } from '../ledger/set-up.js';
import { createApp } from '../pages/app.js';
import { readingsOf } from '../store/facts/readings.js';
import { isDamage } from '../store/whole.js';
import { keepBackups } from './backup.js';
import { clockGate } from './clock.js';
import { type Feeds, openFeeds } from './feeds.js';
import { feelPulse } from './health.js';
import { rememberIlls, type Symptom } from './ills.js';
import { freePort, listen, pageServer } from './listen.js';
import { bookProblems, bookSymptoms, machineProblems } from './problems.js';
import { watchHome } from './reload.js';
import { keepSettings } from './settings-in-use.js';
import { watchData } from './watch-data.js';
import { watchDisk } from './watch-disk.js';
import { beatEveryMs, notifySystemd, openWatchdog } from './watchdog.js';
import { dataFolder, type Service } from './wire.js';

/** A service with its doors open. */
export interface Serving {
  readonly port: number;
  /** One wake-up: counts a changed home folder, takes a turn when one is wanted, empties the outbox. */
  wake(): Promise<void>;
  close(): Promise<void>;
}

const webFolder = fileURLToPath(new URL('../../web', import.meta.url));

/** How long requests under way may take to be answered once the service stops. */
const answerMs = 2000;

/** How often the service looks for what is wrong with itself. */
const feelEveryMs = 10 * minuteMs;

/** Opens the doors of a service: the page, the feed, and the ticker that wakes it every minute.
 *  @throws Fault port-busy */
export async function serve(options: {
  readonly service: Service;
  readonly homeDir: string;
  readonly host: string;
  readonly port: number;
  readonly log: Log;
  /** The home is the one kept from before the folder's last change, which has errors. */
  readonly isEarlier?: boolean;
  /** Runs forward whatever the wall clock does; the computer's own where absent. */
  readonly monotonicMs?: () => number;
}): Promise<Serving> {
  const { service, log } = options;
  const { books } = service;
  let nextLookMs = 0;
  let lastVersion = '';
  let lastTurnAtMs: number | null = null;
  let doubt: string | null = null;
  const clockDoubt = clockGate(options.monotonicMs ?? (() => performance.now()));
  const stopping = new AbortController();
  let delivering: Promise<void> | null = null;
  let backingUp: Promise<void> = Promise.resolve();
  let isWanted = false;
  let feeds: Feeds | null = null;
  let lastShownMs = 0;
  let lastFeltMs = Number.NEGATIVE_INFINITY;
  let ailing: readonly Ill[] = [];
  const ills = rememberIlls();
  const pulse = feelPulse(books.store, dataFolder(options.homeDir), () => performance.now());
  const watchdog = openWatchdog(() => pulse.isWell(), notifySystemd(process.env));
  const disk = watchDisk(books, options.homeDir, log);
  const data = watchData(books, options.homeDir, log);
  // What breaks anywhere tells how the data and their disk are.
  const met = (failure: unknown) => {
    data.met(failure);
    pulse.met(failure);
  };
  const backups = keepBackups(books, options.homeDir, log, met);
  const refused = (machine: string) => feeds?.refused(machine) ?? null;
  const witness: Witness = {
    nowMs: () => (doubt === null ? books.clock.nowMs() : null),
    readings: (machine) => readingsOf(books.store, [machine]).get(machine) ?? [],
  };
  const reload = watchHome(
    options.homeDir,
    witness,
    (home) => {
      service.replaceHome(home);
      keepSettings(options.homeDir, log);
      nextLookMs = 0;
      feeds?.follow(home).catch((failure: unknown) => log.error({ failure: String(failure) }, 'the feeds broke'));
    },
    log,
    options.isEarlier,
  );
  if (options.isEarlier !== true) keepSettings(options.homeDir, log);

  // Hours that are estimated grow without a turn, and sensors fall silent: what the house shows is never older than an hour.
  const showStates = () => {
    if (books.home().household.mqtt === undefined) return;
    lastShownMs = books.clock.nowMs();
    const outlook = service.latest();
    const wrong = outlook.machines.map((ahead) => [ahead.machine, machineProblems(books, ahead, refused)] as const);
    const formerly = leftBehind(books).map(({ machine }) => machine);
    feeds?.show(topicStates(books.home(), outlook, new Map(wrong), formerly));
  };
  // What is wrong changes what is to be said: then it is looked at anew, whatever was foreseen.
  const feel = (nowMs: number) => {
    lastFeltMs = nowMs;
    const stuck = pulse.cannotWrite();
    void disk.look(stuck).catch((failure: unknown) => log.error({ failure: String(failure) }, 'nobody was told'));
    const symptoms: readonly Symptom[] = [
      ...reload.problems().map((sentence) => ({ key: 'home-folder', sentence })),
      ...(feeds?.problems() ?? []).map((sentence) => ({ key: 'broker', sentence })),
      // A damaged file is told of past the data, and once.
      ...(data.damage() !== null ? [] : backups.problems().map((sentence) => ({ key: 'backup', sentence }))),
      ...(stuck === null ? pulse.problems() : []).map((sentence) => ({ key: 'disk', sentence })),
      ...bookSymptoms(books, service.latest().machines, refused),
    ];
    const now = ills(symptoms, nowMs);
    if (now === ailing) return;
    ailing = now;
    service.ail(now);
    nextLookMs = 0;
  };
  const look = () => {
    reload.look();
    feeds?.look();
    const nowMs = books.clock.nowMs();
    const doubtNow = clockDoubt(nowMs, newestFactMs(books));
    if (doubtNow !== doubt) {
      if (doubtNow !== null) log.warn({ doubt: doubtNow }, 'waiting for the clock to be set');
      doubt = doubtNow;
    }
    if (doubt !== null) return;
    if (nowMs - lastFeltMs >= feelEveryMs || nowMs < lastFeltMs) feel(nowMs);
    const version = String(books.store.dataVersion());
    if (nowMs >= nextLookMs || version !== lastVersion) {
      const turn = service.turn();
      nextLookMs = turn.nextLookMs;
      // As it was before the turn: what another process wrote meanwhile is looked at next time.
      lastVersion = version;
      lastTurnAtMs = nowMs;
    }
    isWanted = true;
    if (lastTurnAtMs === nowMs || nowMs - lastShownMs >= hourMs) showStates();
  };
  const emptyOutbox = async () => {
    while (isWanted && !stopping.signal.aborted) {
      isWanted = false;
      await service.deliver(stopping.signal);
    }
  };
  // A turn never waits for the mail: a server that does not answer must not keep the feeds from being looked at.
  const wake = async () => {
    try {
      look();
    } catch (failure) {
      met(failure);
      log.error({ failure: String(failure) }, 'a turn failed');
    }
    delivering ??= emptyOutbox()
      .catch((failure: unknown) => log.error({ failure: String(failure) }, 'the outbox could not be emptied'))
      .finally(() => {
        delivering = null;
      });
    // Where the clock is in doubt, so is the night.
    if (doubt === null && !stopping.signal.aborted) {
      backingUp = backups
        .look()
        .then(() => data.look())
        .catch((failure: unknown) => log.error({ failure: String(failure) }, 'the data could not be watched over'));
    }
    await backingUp;
    await delivering;
  };

  const problems = () => [
    ...data.problems(),
    ...reload.problems(),
    ...(feeds?.problems() ?? []),
    ...backups.problems(),
    ...pulse.problems(),
    ...(doubt === null ? [] : [`Nothing is sent: ${doubt}.`]),
    ...bookProblems(books, service.latest().machines, refused),
  ];
  // Whoever watches from outside is answered even where the data cannot be read.
  const troubles = () => {
    try {
      return {
        problems: [...problems(), ...service.latest().problems],
        code: data.damage() === null ? null : 'store-corrupt',
      };
    } catch (failure) {
      met(failure);
      return { problems: [String(failure)], code: failure instanceof Fault ? failure.code : 'internal' };
    }
  };
  const app = createApp({
    books,
    facts: () => service.facts(),
    latest: () => service.latest(),
    changed: () => void wake(),
    log,
    webFolder,
    port: options.port,
    passwordFile: join(dataFolder(options.homeDir), 'password'),
    health: () => ({
      lastTurnAtMs,
      doubt,
      ...troubles(),
      lastBackupAtMs: backups.lastAtMs(),
      vitals: pulse.vitals(),
    }),
    waiting: () => service.latest().waiting,
    push: () => service.push(),
    setUp: openSetUp(options.homeDir, process.env, witness, () => {
      // What a form wrote is shown on the next page, not a minute later.
      reload.look();
      void wake();
    }),
    problems,
    damage: (failure) => {
      met(failure);
      return isDamage(failure) ? data.damage() : null;
    },
  });
  const server = await listen(pageServer(app), options.host, options.port, freePort);
  const address = server.address();
  const port = address !== null && typeof address === 'object' ? address.port : options.port;
  service.servedAt(port);
  feeds = openFeeds(books, log);
  const tick = () => {
    pulse.tick();
    void wake();
  };
  const ticker = cron.schedule('* * * * *', tick, { timezone: 'UTC', suppressMissedWarning: true });
  void wake();
  watchdog.ready();
  const everyMs = beatEveryMs(process.env);
  const beating = everyMs === null ? null : setInterval(() => watchdog.beat(), everyMs);

  return {
    port,
    wake,
    async close() {
      if (beating !== null) {
        clearInterval(beating);
        watchdog.stopping();
      }
      pulse.close();
      await ticker.stop();
      stopping.abort();
      await delivering;
      await backingUp;
      await feeds?.close();
      await backups.rescue();
      await new Promise<void>((done) => {
        server.close(() => done());
        server.closeIdleConnections();
        // A browser that opens a connection ahead, or a phone that left in mid-request, must not hold up the end.
        setTimeout(() => server.closeAllConnections(), answerMs).unref();
      });
      service.close();
    },
  };
}
