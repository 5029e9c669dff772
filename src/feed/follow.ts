import type { Delivered } from '../broker/connection.js';
import { minuteMs, type Zone } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import type { Feed, Machine } from '../domain/machine.js';
import { type Counted, count, countAlive, countSilence, isRunningNow, isToldByWords } from './count/count.js';
import { type Covering, coverSign, endCoverage, isSilent, notCovered } from './count/coverage.js';
import { readingToGive } from './count/give-reading.js';
import type { Moment } from './count/moment.js';
import { type BackAgain, mayHaveWaited } from './count/waited.js';
import { decodeAlive } from './decode/alive.js';
import { decode } from './decode/decode.js';
import type { Refused } from './errors.js';
import type { FeedHand } from './hand.js';
import { type FeedState, resumeState } from './state.js';

/** One machine's feed while the service runs: its state, and what still has to be handed out. */
export interface Follower {
  /** A message on the feed's topic. Kept before it returns if it changes anything; throws where it cannot be kept. */
  take(payload: Uint8Array, now: Moment, delivered: Delivered): Refused | null;
  /** A message on the alive topic. */
  takeAlive(payload: Uint8Array, now: Moment, delivered: Delivered): void;
  /** The connection to the broker is back, before its first message; told whether what was sent meanwhile was kept for us. */
  reconnected(now: Moment, isSessionKept: boolean): void;
  /** Looks for silence, and hands out what has waited for five minutes. */
  look(now: Moment): void;
  /** Hands out all that waits. */
  close(now: Moment): void;
  state(): FeedState;
}

interface Cover {
  readonly covering: Covering;
  readonly closed: Span | null;
}

/** Coverage and the growth of a run wait in memory this long, so that a memory card lives for years. */
const handOutMs = 5 * minuteMs;

/** Starts from what was kept. */
export function followFeed(machine: Machine, feed: Feed, zone: Zone, hand: FeedHand): Follower {
  const silentAfterMs = feed.silentAfterMinutes * minuteMs;
  /** A feed that reports the meter hands out readings only: coverage without runs would say that nothing ran. */
  const givesCoverage = feed.kind !== 'meter-hours';
  let state = resumeState(machine, feed, hand.load(machine.id));
  let covering: Covering = notCovered;
  /** Ended, not handed out yet. */
  let endedCoverage: readonly Span[] = [];
  let handedOutAt: Moment | null = null;
  /** Whether a run or coverage grew since. */
  let isWaiting = false;
  let back: BackAgain | null = null;

  function reconnected(now: Moment, isSessionKept: boolean): void {
    if (!isSessionKept) miss(now);
    back = { connectedAt: now, lastAt: null };
  }

  /** What was sent while we were away is lost: nobody knows how the engine ran meanwhile, unless a counter or the device's own times tell. */
  function miss(now: Moment): void {
    if (!isToldByWords(feed)) return;
    const counted = countSilence(feed, state, now, true);
    if (counted.isChanged || covering.open !== null) apply(counted, now, endCoverage(covering), true);
  }

  /** Whether a message that comes now may have waited for us. What comes with QoS 0 was not kept. */
  function hasWaited(now: Moment, { qos, retain }: Delivered): boolean {
    if (back === null || retain) return false;
    if (qos === 0) {
      back = null;
      miss(now);
      return false;
    }
    const next = mayHaveWaited(back, now);
    back = next.back;
    return next.isWaited;
  }

  function take(payload: Uint8Array, now: Moment, delivered: Delivered): Refused | null {
    const said = decode(feed, payload, zone);
    if (said.kind === 'refused') return said;
    const isWaited = hasWaited(now, delivered);
    const counted = count(feed, state, said, now, { ...delivered, isWaited });
    if (counted.kind === 'refused') return counted;
    apply(counted, now, coverOf(counted, isWaited, now), false);
    return null;
  }

  function coverOf({ isSign, isChanged }: Counted, isWaited: boolean, now: Moment): Cover | null {
    if (isSign) return coverSign(covering, now, silentAfterMs);
    // The engine started or stopped while we could not hear it, nobody knows when.
    return isWaited && isChanged ? endCoverage(covering) : null;
  }

  function takeAlive(payload: Uint8Array, now: Moment, delivered: Delivered): void {
    if (decodeAlive(payload) === 'gone') {
      apply(countSilence(feed, state, now, true), now, endCoverage(covering), true, true);
      return;
    }
    if (delivered.retain || hasWaited(now, delivered)) {
      // No sign of life now, but it came back while nobody listened.
      if (state.isAway) apply(countSilence(feed, state, now, false), now, null, false, false);
      return;
    }
    apply(countAlive(feed, state, now), now, coverSign(covering, now, silentAfterMs), false);
  }

  function look(now: Moment): void {
    const isOver = covering.last !== null && isSilent(covering.last, now, silentAfterMs);
    apply(countSilence(feed, state, now, false), now, isOver ? endCoverage(covering) : null, isOver);
  }

  /** Takes over a new state: kept first where it matters, so that a failing store leaves all as it was. */
  function apply(
    counted: Counted,
    now: Moment,
    cover: Cover | null,
    isLast: boolean,
    isAway = state.isAway && !counted.isSign,
  ): void {
    const nextCovering = cover?.covering ?? covering;
    const ended = cover === null || cover.closed === null ? endedCoverage : [...endedCoverage, cover.closed];
    const reading = readingToGive(counted.state, counted.isSign ? counted.eventMs : counted.state.lastAtMs, isLast);
    const given = reading === null ? counted.state.given : reading;
    const next = { ...counted.state, given, isAway };
    const waits = isWaiting || counted.countedMs > 0 || cover !== null;
    const goesOrComes = isAway !== state.isAway;
    const isTurned =
      goesOrComes || isRunningNow(next) !== isRunningNow(state) || (counted.isChanged && counted.countedMs === 0);
    // What grows, a run and its coverage, goes out every five minutes and when the engine starts or stops.
    const isFull = isTurned || isLast || handedOutAt === null || now.monotonicMs - handedOutAt.monotonicMs >= handOutMs;
    const isKept = counted.isChanged || goesOrComes || reading !== null || (isFull && waits);
    if (isKept) {
      hand.keep(machine.id, {
        isInterim: !isFull,
        state: next,
        runs: isFull ? [...counted.closed, ...grown(next.placing.open)] : counted.closed,
        coverage: isFull && givesCoverage ? [...ended, ...grown(nextCovering.open)].filter(isLong) : [],
        totalSeconds: next.totalMs / 1000,
        lastAtMs: next.lastAtMs,
        isAway,
        ...(reading === null ? {} : { reading }),
      });
    }
    if (isKept && isFull) handedOutAt = now;
    isWaiting = waits && !(isKept && isFull);
    endedCoverage = isKept && isFull ? [] : ended;
    state = next;
    covering = nextCovering;
  }

  return {
    take,
    takeAlive,
    reconnected,
    look,
    close(now) {
      apply({ ...countSilence(feed, state, now, false), isChanged: true }, now, endCoverage(covering), true);
    },
    state: () => state,
  };
}

function grown(open: Span | null): readonly Span[] {
  return open !== null && isLong(open) ? [open] : [];
}

function isLong(span: Span): boolean {
  return span.toMs > span.fromMs;
}
