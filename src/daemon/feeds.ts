import { randomUUID } from 'node:crypto';
import { type Broker, openBroker } from '../broker/connection.js';
import { dayMs } from '../domain/day.js';
import type { Home } from '../domain/home.js';
import type { Log } from '../domain/outside.js';
import { parseFeedState } from '../feed/state.js';
import { type FeedWatch, watchFeeds } from '../feed/watch.js';
import { type TemperatureWatch, watchTemperature } from '../feed/watch-temperature.js';
import type { Books } from '../ledger/books.js';
import { enterNight } from '../ledger/enter-night.js';
import { feedHand } from '../ledger/feed-hand.js';
import { installId } from '../ledger/install-id.js';
import { earliestSaneMs } from './clock.js';
import { openStatesOut, type StatesOut } from './states-out.js';

/** The broker and all feeds behind it, opened where household.yaml names a broker. */
export interface Feeds {
  /** About once a minute: looks for silence and hands out what waits. */
  look(): void;
  /** Follows a changed home folder; a broker with other settings is connected anew. */
  follow(home: Home): Promise<void>;
  /** Plain sentences about the broker; empty where all is well. */
  problems(): readonly string[];
  /** Why something that a machine's sensor said was not counted: the newest of the last day; null where all was. */
  refused(machine: string): { readonly reason: string; readonly atMs: number } | null;
  /** Publishes what the house can show of each machine, topic to payload; see `StatesOut`. */
  show(states: ReadonlyMap<string, string>): void;
  close(): Promise<void>;
}

/** Subscribes first and connects then, because what the broker kept for us arrives with the connection. */
export function openFeeds(books: Books, log: Log): Feeds {
  let broker: Broker | null = null;
  let watch: FeedWatch | null = null;
  let thermometer: TemperatureWatch | null = null;
  let out: StatesOut | null = null;
  let shown: ReadonlyMap<string, string> = new Map();
  let settings = '';
  const boot = randomUUID();

  const close = async () => {
    try {
      watch?.close();
      thermometer?.close();
    } finally {
      await broker?.close();
      watch = null;
      thermometer = null;
      broker = null;
      out = null;
    }
  };
  const open = (home: Home) => {
    settings = JSON.stringify(home.household.mqtt ?? null);
    if (home.household.mqtt === undefined) return;
    const opened = openBroker(
      { ...home.household.mqtt, clientId: `shedbell-${installId(books)}` },
      { clock: books.clock, log, random: Math.random },
    );
    watch = watchFeeds({
      broker: opened,
      home,
      clock: books.clock,
      monotonicMs: () => performance.now(),
      boot,
      notBeforeMs: earliestSaneMs,
      log,
      hand: feedHand(books, parseFeedState, (machine, fault) =>
        log.warn({ machine, code: fault.code, reason: fault.line }, 'a reading from a feed cannot be right'),
      ),
    });
    thermometer = watchTemperature({
      broker: opened,
      household: home.household,
      clock: books.clock,
      notBeforeMs: earliestSaneMs,
      log,
      hand: (night) => enterNight(books, night),
    });
    broker = opened;
    out = openStatesOut(opened, shown);
    opened.connect();
  };

  open(books.home());
  return {
    look() {
      watch?.look();
      thermometer?.look();
    },
    async follow(home) {
      if (JSON.stringify(home.household.mqtt ?? null) === settings) {
        watch?.reload(home);
        thermometer?.reload(home.household);
        return;
      }
      await close();
      open(home);
    },
    problems() {
      const state = broker?.state();
      if (state === undefined) return [];
      if (state.isContested) {
        return [
          'The broker takes the connection away again and again. Is this service started twice, or does a copy of its home folder run elsewhere? Stop one of them: while both run, each may miss what the other hears.',
        ];
      }
      return state.connected || state.lastError === null ? [] : [`The feeds cannot be heard: ${state.lastError}`];
    },
    refused(machine) {
      const newest = watch?.recentRefusals(machine)[0];
      return newest === undefined || books.clock.nowMs() - newest.atMs > dayMs ? null : newest;
    },
    show(states) {
      shown = states;
      out?.show(states);
    },
    close,
  };
}
