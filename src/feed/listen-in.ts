import type { Delivered } from '../broker/connection.js';
import { minuteMs, type Zone } from '../domain/day.js';
import type { Feed, Machine } from '../domain/machine.js';
import type { HeardEffect, HeardMessage, TakenFor } from '../domain/results/heard.js';
import { type Counted, count, countAlive, countSilence, isRunningNow } from './count/count.js';
import { isSilent } from './count/coverage.js';
import type { Moment } from './count/moment.js';
import { decodeAlive } from './decode/alive.js';
import { decode, type Said } from './decode/decode.js';
import type { Refused } from './errors.js';
import { sampleOf } from './refusals.js';
import { type FeedState, resumeState } from './state.js';

/** Counts along with the service and tells what each message is taken for, but keeps nothing. */
export interface ListenIn {
  /** A message on the feed's topic. */
  hear(topic: string, payload: Uint8Array, now: Moment, delivered: Delivered): HeardMessage;
  /** A message on the alive topic. */
  hearAlive(topic: string, payload: Uint8Array, now: Moment, delivered: Delivered): HeardMessage;
  /** Whether the sensor fell silent since the last look: true once a silence. */
  fellSilent(now: Moment): boolean;
}

/** Starts from what the service kept last, so that a message is taken here for what the service takes it for.
 *  @param kept  null for a feed that is new */
export function listenIn(machine: Machine, feed: Feed, zone: Zone, kept: FeedState | null): ListenIn {
  let state = resumeState(machine, feed, kept);
  let lastSign: Moment | null = null;

  function apply(counted: Counted, isBaseline: boolean, now: Moment): HeardEffect {
    const isRestart = hasRestarted(state, counted);
    const isNews = counted.isChanged || counted.countedMs > 0;
    state = counted.state;
    if (counted.isSign) lastSign = now;
    return {
      isBaseline,
      isRestart,
      isNews,
      countedSeconds: counted.countedMs / 1000,
      totalSeconds: state.totalMs / 1000,
      isRunning: isRunningNow(state),
      isHolding: state.counting.kind === 'voltage' && state.counting.turning !== null,
    };
  }

  function heard(
    topic: string,
    payload: Uint8Array,
    now: Moment,
    delivered: Delivered,
    deviceAtMs: number | null,
    taken: HeardMessage['taken'],
    eventMs: number | null = deviceAtMs,
  ): HeardMessage {
    return {
      atMs: now.atMs,
      topic,
      bytes: payload.byteLength,
      sample: sampleOf(payload),
      isRetained: delivered.retain,
      deviceAtMs,
      isDeviceTimeDoubted: deviceAtMs !== null && eventMs !== null && eventMs !== deviceAtMs,
      taken,
    };
  }

  return {
    hear(topic, payload, now, delivered) {
      const said = decode(feed, payload, zone);
      if (said.kind === 'refused') return heard(topic, payload, now, delivered, null, refused(said));
      const counted = count(feed, state, said, now, { ...delivered, isWaited: false });
      if (counted.kind === 'refused') return heard(topic, payload, now, delivered, said.deviceAtMs, refused(counted));
      const effect = apply(counted, isNewCounter(state), now);
      const taken = { kind: 'taken', as: takenFor(said), effect } as const;
      return heard(topic, payload, now, delivered, said.deviceAtMs, taken, counted.eventMs);
    },
    hearAlive(topic, payload, now, delivered) {
      const isGone = decodeAlive(payload) === 'gone';
      const counted =
        isGone || delivered.retain ? countSilence(feed, state, now, isGone) : countAlive(feed, state, now);
      const effect = apply(counted, false, now);
      if (isGone) lastSign = null;
      return heard(topic, payload, now, delivered, null, {
        kind: 'taken',
        as: { kind: isGone ? 'gone' : 'alive' },
        effect,
      });
    },
    fellSilent(now) {
      if (lastSign === null || !isSilent(lastSign, now, feed.silentAfterMinutes * minuteMs)) return false;
      lastSign = null;
      apply(countSilence(feed, state, now, false), false, now);
      return true;
    },
  };
}

function hasRestarted({ counting: before }: FeedState, { state: { counting: after }, countedMs }: Counted): boolean {
  if (before.kind !== 'run-seconds' || after.kind !== 'run-seconds' || before.track === null) return false;
  if (after.track === null || after.track.maxSeconds >= before.track.maxSeconds) return false;
  // A life of the counter that is taken up again is lower, too, but counts only what it went on.
  return countedMs === Math.round(after.track.maxSeconds * 1000) && after.before !== null;
}

function isNewCounter({ counting }: FeedState): boolean {
  if (counting.kind === 'run-seconds') return counting.track === null;
  return counting.kind === 'meter-hours' && counting.lastHours === null;
}

function takenFor(said: Said): TakenFor {
  switch (said.kind) {
    case 'running':
      return { kind: 'running', isRunning: said.isRunning };
    case 'run-seconds':
      return { kind: 'run-seconds', seconds: said.seconds };
    case 'meter-hours':
      return { kind: 'meter-hours', hours: said.hours };
    case 'voltage':
      return { kind: 'voltage', volts: said.volts };
  }
}

function refused({ code, reason }: Refused): HeardMessage['taken'] {
  return { kind: 'refused', code, reason };
}
