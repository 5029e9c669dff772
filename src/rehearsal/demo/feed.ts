import type { Broker, MessageHandler } from '../../broker/connection.js';
import { type Day, dayOf, hourMs, minuteMs, startOfDay } from '../../domain/day.js';
import type { Span } from '../../domain/facts.js';
import type { Log } from '../../domain/outside.js';
import type { FeedEntry, FeedHand } from '../../feed/hand.js';
import { parseFeedState } from '../../feed/state.js';
import { watchFeeds } from '../../feed/watch.js';
import type { Books } from '../../ledger/books.js';
import { feedHand } from '../../ledger/feed-hand.js';
import type { TrueHours } from '../truth/true-hours.js';
import { sensorPayload } from './payload.js';

/** A sensor that is alive says so this often. */
const everyMs = 10 * minuteMs;

const quiet: Log = { error: () => {}, warn: () => {}, info: () => {}, debug: () => {} };

/** The past of a run-seconds sensor, played through the same counting that runs live. */
export interface PlayedFeed {
  /** Plays what it sent until then, and keeps it. */
  playUntil(untilMs: number): void;
  /** Plays the rest, keeps all, and answers what its counter shows. */
  finish(untilMs: number): number;
}

/** A sensor that was fitted when a day began and has counted from 0 since; it sends every ten minutes on the days on which
 *  its radio reaches the house. Its messages go by a broker of their own and a clock that stands at each message, and what
 *  they say is kept in one go for each stretch that is played.
 *  @param alive  days on which it is heard; on the others it counts on unheard */
export function playFeed(input: {
  readonly books: Books;
  readonly machine: string;
  readonly meter: TrueHours;
  readonly fitted: Day;
  readonly alive: ReadonlySet<Day>;
}): PlayedFeed {
  const { books, machine, meter, alive } = input;
  const home = books.home();
  const { zone } = home.household;
  const fittedMs = startOfDay(input.fitted, zone);
  const firstHours = meter.at(fittedMs);
  const secondsAt = (atMs: number) => Math.round(((meter.at(atMs) - firstHours) * hourMs) / 1000);

  let atMs = fittedMs;
  let nextMs = fittedMs;
  const handlers = new Map<string, MessageHandler>();
  const broker: Pick<Broker, 'subscribe' | 'onConnect'> = {
    onConnect: () => () => undefined,
    subscribe(topic, handler) {
      handlers.set(topic, handler);
      return () => handlers.delete(topic);
    },
  };
  const gathered = gatherEntries(feedHand(books, parseFeedState));
  const watch = watchFeeds({
    broker,
    home: { ...home, machines: home.machines.filter((m) => m.id === machine) },
    clock: { nowMs: () => atMs },
    monotonicMs: () => atMs - fittedMs,
    boot: 'the past of the demo',
    notBeforeMs: 0,
    log: quiet,
    hand: gathered.hand,
  });

  const say = () => {
    watch.look();
    if (!alive.has(dayOf(atMs, zone))) return;
    const payload = Buffer.from(sensorPayload(secondsAt(atMs)));
    for (const [topic, handler] of handlers) handler(topic, payload, { retain: false, dup: false, qos: 1 });
  };
  const playUntil = (untilMs: number) => {
    for (; nextMs <= untilMs; nextMs += everyMs) {
      atMs = nextMs;
      say();
    }
    gathered.handOver();
  };
  return {
    playUntil,
    finish(untilMs) {
      playUntil(untilMs);
      atMs = Math.max(atMs, untilMs);
      say();
      watch.close();
      gathered.handOver();
      return secondsAt(atMs);
    },
  };
}

/** A hand that gathers entries and hands them over as one: each entry repeats what grew, so the last state and all spans say
 *  the same as one by one. */
function gatherEntries(keeper: FeedHand): { readonly hand: FeedHand; handOver(): void } {
  const waiting = new Map<string, FeedEntry>();
  return {
    hand: {
      load: (machine) => keeper.load(machine),
      refusals: (machine) => keeper.refusals(machine),
      keepRefusals: (machine, text) => keeper.keepRefusals(machine, text),
      keep(machine, entry) {
        const before = waiting.get(machine);
        waiting.set(machine, {
          ...before,
          ...entry,
          runs: joined(before?.runs, entry.runs),
          coverage: joined(before?.coverage, entry.coverage),
        });
      },
    },
    handOver() {
      for (const [machine, entry] of waiting) keeper.keep(machine, entry);
      waiting.clear();
    },
  };
}

/** A span that goes on from the last one takes its place. */
function joined(before: readonly Span[] = [], more: readonly Span[]): readonly Span[] {
  const spans = [...before];
  for (const span of more) {
    const last = spans.at(-1);
    if (last !== undefined && span.fromMs <= last.fromMs && span.toMs >= last.toMs) spans.pop();
    spans.push(span);
  }
  return spans;
}
