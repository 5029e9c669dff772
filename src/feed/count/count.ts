import { minuteMs } from '../../domain/day.js';
import type { Span } from '../../domain/facts.js';
import type { Feed } from '../../domain/machine.js';
import type { Said } from '../decode/decode.js';
import { type Refused, refusalCodes, refuse } from '../errors.js';
import type { FeedState } from '../state.js';
import { countMeterHours } from './count-meter-hours.js';
import { countRunSeconds } from './count-run-seconds.js';
import { countRunning, isRunSilent, type Sign, stopRunning } from './count-running.js';
import { countVoltage } from './count-voltage.js';
import type { Moment } from './moment.js';
import { placeRun, placeWaiting } from './place-runs.js';
import { type Step, unchanged } from './step.js';
import type { Arrival } from './waited.js';

/** What a message, or its absence, did to a feed. */
export interface Counted {
  readonly kind: 'counted';
  readonly state: FeedState;
  /** Run time added, milliseconds, >= 0. */
  readonly countedMs: number;
  /** Runs that ended with this; they leave the state, so they are kept with it. */
  readonly closed: readonly Span[];
  /** Whether it has to be kept before it is acknowledged. */
  readonly isChanged: boolean;
  /** Whether it shows that the sensor lives; a retained message does not, nor a word that may have waited. */
  readonly isSign: boolean;
  /** When it happened, by the device's time or ours, UTC milliseconds; null while our clock cannot be believed. */
  readonly eventMs: number | null;
}

/** A device time before this is a clock that was never set. */
const firstDeviceMs = Date.UTC(2020, 0, 1);
/** A device's clock may be ahead of ours by this much. */
const aheadMs = 60_000;

/** Counts one message into the state of its feed: total, run state, and where in time the run stands.
 *  @param said  decoded; of the feed's own kind
 *  @param now   when it arrived; `arrival` whether it is a last known state, was sent before, or may have waited
 *  @returns     the new state and what it added, or why it changes nothing */
export function count(feed: Feed, state: FeedState, said: Said, now: Moment, arrival: Arrival): Counted | Refused {
  const deviceAtMs = believableDeviceTime(said.deviceAtMs, now);
  const step = stepOf(feed, state.counting, said, { moment: now, deviceAtMs }, arrival);
  if (step.kind === 'refused') return step.refused;
  // A counter tells what was missed; a word or a voltage only how it was when it was said.
  const isOld = arrival.retain || (arrival.isWaited && isToldByWords(feed));
  return afterStep(feed, state, step, now, deviceAtMs, !isOld || deviceAtMs !== null);
}

/** Counts a message of the alive topic: a sign of life, so that a run of which the sensor said yes goes on until here. */
export function countAlive(feed: Feed, state: FeedState, now: Moment): Counted {
  const { counting } = state;
  const step: Step<FeedState['counting']> =
    counting.kind === 'running'
      ? countRunning(counting, counting.isRunning, { moment: now, deviceAtMs: null }, silentAfterMsOf(feed), false)
      : unchanged(counting);
  return step.kind === 'refused'
    ? countSilence(feed, state, now, false)
    : afterStep(feed, state, step, now, null, true);
}

/** Looks at a feed without a message: a run whose sensor fell silent, or is gone, ended with its last sign of life; run time that was
 *  waiting for a believable clock is placed.
 *  @param isGone  the sensor said so, or its last will did */
export function countSilence(feed: Feed, state: FeedState, now: Moment, isGone: boolean): Counted {
  const silentAfterMs = silentAfterMsOf(feed);
  const { counting } = state;
  let next = counting;
  if (counting.kind === 'running' && (isGone || isRunSilent(counting, now, silentAfterMs)))
    next = stopRunning(counting);
  if (counting.kind === 'voltage') {
    const last = counting.lastSample;
    const isOver = isGone || (last !== null && isRunSilent({ ...counting.run, last }, now, silentAfterMs));
    const run = isOver ? stopRunning(counting.run) : counting.run;
    if (isOver && (run !== counting.run || counting.turning !== null)) next = { ...counting, run, turning: null };
  }
  const placed = now.believable ? placeWaiting(state.placing, now.atMs) : { placing: state.placing, closed: null };
  const isChanged = next !== counting || placed.placing !== state.placing;
  return {
    kind: 'counted',
    state: isChanged ? { ...state, counting: next, placing: placed.placing } : state,
    countedMs: 0,
    closed: placed.closed === null ? [] : [placed.closed],
    isChanged,
    isSign: false,
    eventMs: now.believable ? now.atMs : null,
  };
}

function afterStep(
  feed: Feed,
  state: FeedState,
  step: Extract<Step<FeedState['counting']>, { kind: 'counted' }>,
  now: Moment,
  deviceAtMs: number | null,
  isSign: boolean,
): Counted {
  const eventMs = now.believable ? (deviceAtMs ?? now.atMs) : null;
  const placed =
    step.countedMs > 0 && feed.kind !== 'meter-hours'
      ? placeRun(state.placing, step.countedMs, eventMs)
      : { placing: state.placing, closed: null };
  return {
    kind: 'counted',
    state: {
      ...state,
      totalMs: state.totalMs + step.countedMs,
      lastAtMs: now.believable && isSign ? Math.max(state.lastAtMs ?? now.atMs, now.atMs) : state.lastAtMs,
      counting: step.state,
      placing: placed.placing,
    },
    countedMs: step.countedMs,
    closed: placed.closed === null ? [] : [placed.closed],
    isChanged: step.isChanged,
    isSign,
    eventMs,
  };
}

function silentAfterMsOf(feed: Feed): number {
  return feed.silentAfterMinutes * minuteMs;
}

/** Whether run time is known only while the sensor is heard: there is no counter that tells afterwards what was missed. */
export function isToldByWords(feed: Feed): boolean {
  return feed.kind === 'running' || feed.kind === 'voltage';
}

/** Whether the feed says that the engine runs now; null for kinds that cannot tell. */
export function isRunningNow(state: FeedState): boolean | null {
  if (state.counting.kind === 'running') return state.counting.isRunning;
  return state.counting.kind === 'voltage' ? state.counting.run.isRunning : null;
}

function stepOf(
  feed: Feed,
  counting: FeedState['counting'],
  said: Said,
  sign: Sign,
  { retain, dup, isWaited }: Arrival,
): Step<FeedState['counting']> {
  const silentAfterMs = silentAfterMsOf(feed);
  if (said.kind === 'running' && counting.kind === 'running') {
    return countRunning(counting, said.isRunning, sign, silentAfterMs, retain || isWaited);
  }
  if (said.kind === 'run-seconds' && counting.kind === 'run-seconds') {
    return countRunSeconds(counting, said.seconds, sign.moment, dup || retain, sign.deviceAtMs);
  }
  if (said.kind === 'meter-hours' && counting.kind === 'meter-hours') {
    return countMeterHours(counting, said.hours, sign.moment);
  }
  if (said.kind === 'voltage' && counting.kind === 'voltage' && feed.kind === 'voltage') {
    if (retain) return { kind: 'counted', state: counting, countedMs: 0, isChanged: false };
    const limits = {
      aboveVolts: feed.aboveVolts,
      belowVolts: feed.belowVolts,
      holdMs: feed.holdSeconds * 1000,
      silentAfterMs,
    };
    return countVoltage(counting, said.volts, sign, limits, isWaited);
  }
  return {
    kind: 'refused',
    refused: refuse(refusalCodes.unreadable, `a ${said.kind} value came to a ${counting.kind} feed`),
  };
}

/** The device's own time where it can be right: set at all, and not ahead of ours. */
function believableDeviceTime(deviceAtMs: number | null, now: Moment): number | null {
  if (deviceAtMs === null || deviceAtMs < firstDeviceMs) return null;
  return now.believable && deviceAtMs > now.atMs + aheadMs ? null : deviceAtMs;
}
