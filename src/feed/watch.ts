import type { Broker } from '../broker/connection.js';
import type { Home } from '../domain/home.js';
import type { Feed, Machine } from '../domain/machine.js';
import type { Clock, Log } from '../domain/outside.js';
import { type ClockBelief, judgeClock } from './believe-clock.js';
import type { Moment } from './count/moment.js';
import { type Follower, followFeed } from './follow.js';
import type { FeedHand } from './hand.js';
import { keepRefusals, type Refusal } from './refusals.js';
import { sourceOf } from './state.js';

/** All feeds of the household, from the broker to the hand that keeps what they count. */
export interface FeedWatch {
  /** Looks for silence and hands out what waits; to be called about once a minute. */
  look(): void;
  /** Follows a changed configuration: feeds that stayed as they are go on untouched.
   *  @throws Fault topic-unfit */
  reload(home: Home): void;
  /** Refused messages, newest first. */
  recentRefusals(machine?: string): readonly Refusal[];
  /** How many were refused since the start. */
  refusedCount(machine: string): number;
  /** Whether the wall clock can be believed; while it cannot, coverage waits and counting goes on. */
  isClockBelievable(): boolean;
  /** Hands out all that waits. Nothing is unsubscribed, so that the session at the broker keeps what comes after; close the broker next,
   *  and the store last: a message that still comes in between is counted as ever. */
  close(): void;
}

export interface FeedOutside {
  readonly broker: Pick<Broker, 'subscribe' | 'onConnect'>;
  readonly home: Home;
  readonly clock: Clock;
  /** Milliseconds since this process started, by a clock that never jumps, such as `performance.now`. */
  readonly monotonicMs: () => number;
  /** Differs for each start of the process, such as a random UUID. */
  readonly boot: string;
  /** A wall clock earlier than this is wrong: the day the software was built, UTC milliseconds. */
  readonly notBeforeMs: number;
  readonly log: Log;
  readonly hand: FeedHand;
}

interface Followed {
  readonly source: string;
  readonly follower: Follower;
  readonly stops: readonly (() => void)[];
}

/** Subscribes the feeds of all machines that are in use and counts what they say. Subscribe before the broker connects.
 *  @throws Fault topic-unfit */
export function watchFeeds(outside: FeedOutside): FeedWatch {
  const { broker, clock, monotonicMs, boot, notBeforeMs, log, hand } = outside;
  const refusals = keepRefusals(log, hand);
  const followed = new Map<string, Followed>();
  let belief: ClockBelief = { newestMs: 0, outSinceMonotonicMs: null };

  function now(): Moment {
    const atMs = clock.nowMs();
    const monotonic = monotonicMs();
    const before = belief;
    belief = judgeClock(belief, atMs, monotonic, notBeforeMs);
    const believable = belief.outSinceMonotonicMs === null;
    if (!believable && before.outSinceMonotonicMs === null) {
      log.warn(
        { nowMs: atMs, newestMs: belief.newestMs },
        'the clock is behind; coverage waits until it is set, counting goes on',
      );
    } else if (believable && before.outSinceMonotonicMs !== null) {
      log.info({ nowMs: atMs }, 'the clock can be believed again');
    }
    return { atMs, monotonicMs: monotonic, boot, believable };
  }

  function start(machine: Machine, feed: Feed, zone: Home['household']['zone']): Followed {
    const follower = followFeed(machine, feed, zone, hand);
    refusals.resume(machine.id);
    belief = { ...belief, newestMs: Math.max(belief.newestMs, follower.state().lastAtMs ?? 0) };
    const stops = [
      broker.subscribe(feed.topic, (topic, payload, delivered) => {
        const moment = now();
        const refused = follower.take(payload, moment, delivered);
        if (refused !== null) refusals.note(machine.id, topic, payload, refused, moment.atMs, moment.monotonicMs);
      }),
    ];
    if (feed.aliveTopic !== undefined) {
      stops.push(
        broker.subscribe(feed.aliveTopic, (_topic, payload, delivered) =>
          follower.takeAlive(payload, now(), delivered),
        ),
      );
    }
    return { source: sourceIn(machine, feed, zone), follower, stops };
  }

  function reload(home: Home): void {
    const zone = home.household.zone;
    const wanted = new Map(home.machines.filter((machine) => !machine.gone).map((machine) => [machine.id, machine]));
    const ended: Followed[] = [];
    for (const [id, which] of [...followed]) {
      const machine = wanted.get(id);
      const source = machine?.feed === undefined ? null : sourceIn(machine, machine.feed, zone);
      if (source === which.source) continue;
      which.follower.close(now());
      followed.delete(id);
      ended.push(which);
    }
    for (const machine of wanted.values()) {
      if (machine.feed !== undefined && !followed.has(machine.id)) {
        followed.set(machine.id, start(machine, machine.feed, zone));
      }
    }
    // Last, so that a topic that goes on under a new configuration is never given up in between.
    for (const { stops } of ended) for (const end of stops) end();
  }

  reload(outside.home);
  const stopHearing = broker.onConnect((isSessionKept) => {
    const moment = now();
    for (const { follower } of followed.values()) follower.reconnected(moment, isSessionKept);
  });
  return {
    look() {
      const moment = now();
      for (const { follower } of followed.values()) follower.look(moment);
      refusals.keep(moment.monotonicMs);
    },
    reload,
    recentRefusals: (machine) => refusals.recent(machine),
    refusedCount: (machine) => refusals.count(machine),
    isClockBelievable: () => now().believable,
    close() {
      stopHearing();
      const moment = now();
      const faults: unknown[] = [];
      for (const { follower } of followed.values()) {
        try {
          follower.close(moment);
        } catch (fault) {
          faults.push(fault);
        }
      }
      try {
        refusals.close();
      } catch (fault) {
        faults.push(fault);
      }
      if (faults.length > 0) throw faults[0];
    },
  };
}

function sourceIn(machine: Machine, feed: Feed, zone: string): string {
  return JSON.stringify([sourceOf(machine, feed), feed, zone]);
}
