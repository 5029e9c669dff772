import { refusalCodes, refuse } from '../errors.js';
import { type Allowance, allowedMs, liveMs, spend, startAllowance } from './allowance.js';
import { leastElapsedMs, type Moment, mostElapsedMs } from './moment.js';
import { type Step, unchanged } from './step.js';

/** One life of the sensor's counter, from a restart on. */
interface Track {
  /** Highest value seen, seconds. */
  readonly maxSeconds: number;
  /** When it arrived. */
  readonly at: Moment;
}

/** What has to be remembered of a counter that may restart from zero. */
export interface RunSecondsState {
  readonly kind: 'run-seconds';
  /** Null until the first value, which is the baseline. */
  readonly track: Track | null;
  /** The life before the last restart: a value that goes on from there was a stale repeat, or the restart was none. */
  readonly before: Track | null;
  /** The life now was taken up again on such a value, and no live rise has confirmed it yet. */
  readonly isDoubtful: boolean;
  readonly allowance: Allowance | null;
}

export const noCounterYet: RunSecondsState = {
  kind: 'run-seconds',
  track: null,
  before: null,
  isDoubtful: false,
  allowance: null,
};

/** A restarted counter may have begun this long before its first value could have been expected. */
const restartSlackSeconds = 60;
/** A jump of more than this that the time since the last arrival does not explain is looked at twice. */
const jumpSeconds = 60;

/** Counts a value of a run-seconds counter. The first is the baseline and counts 0; a rise counts its difference; a fall is a restart
 *  only if the new value is at most the seconds since the last new maximum arrived plus 60, and then counts the new value; any other
 *  fall is a stale repeat and changes nothing. Above the wall-clock allowance a value is refused.
 *  @param seconds  finite, >= 0
 *  @param isAgain  the broker marks it as sent before: then a fall is never a restart, since a counter that did restart will say so
 *                  again with its next value, and one that is young may not count twice when its last minute is delivered twice
 *  @returns        the state after it and the milliseconds counted, >= 0
 *  Source: the counting rules of the feed, our own. */
export function countRunSeconds(
  state: RunSecondsState,
  seconds: number,
  now: Moment,
  isAgain = false,
): Step<RunSecondsState> {
  const { track, before, allowance } = state;
  if (track === null || allowance === null) {
    const baseline = { maxSeconds: seconds, at: now };
    return {
      kind: 'counted',
      state: { ...noCounterYet, track: baseline, allowance: startAllowance(now) },
      countedMs: 0,
      isChanged: true,
    };
  }
  if (seconds === track.maxSeconds) return unchanged(state);
  if (seconds < track.maxSeconds) {
    if (state.isDoubtful && before !== null && goesOnFrom(before, seconds, now)) {
      return takeUp(state, before, seconds, now);
    }
    const secondsSince = leastElapsedMs(track.at, now) / 1000;
    if (isAgain || seconds > secondsSince + restartSlackSeconds) return unchanged(state);
    const countedMs = Math.round(seconds * 1000);
    return {
      kind: 'counted',
      state: {
        kind: 'run-seconds',
        track: { maxSeconds: seconds, at: now },
        before: track,
        isDoubtful: false,
        allowance: spend(allowance, countedMs, now),
      },
      countedMs,
      isChanged: true,
    };
  }
  const riseSeconds = seconds - track.maxSeconds;
  const isLive = riseSeconds * 1000 <= liveMs(allowance, now);
  if (!isLive && riseSeconds > jumpSeconds && before !== null && goesOnFrom(before, seconds, now)) {
    return takeUp(state, before, seconds, now);
  }
  return count(state, riseSeconds, seconds, now, state.isDoubtful && !isLive);
}

/** Whether a value follows an earlier life of the counter within the time that has passed. */
function goesOnFrom(track: Track, seconds: number, now: Moment): boolean {
  const onSeconds = seconds - track.maxSeconds;
  return onSeconds >= 0 && onSeconds * 1000 <= mostElapsedMs(track.at, now);
}

/** Takes the earlier life up again, counting only what it went on. */
function takeUp(state: RunSecondsState, before: Track, seconds: number, now: Moment): Step<RunSecondsState> {
  const swapped = { ...state, track: before, before: state.track };
  const onSeconds = seconds - before.maxSeconds;
  if (onSeconds === 0)
    return { kind: 'counted', state: { ...swapped, isDoubtful: true }, countedMs: 0, isChanged: true };
  return count(swapped, onSeconds, seconds, now, true);
}

function count(
  state: RunSecondsState,
  riseSeconds: number,
  seconds: number,
  now: Moment,
  isDoubtful: boolean,
): Step<RunSecondsState> {
  const allowance = state.allowance ?? startAllowance(now);
  const countedMs = Math.round(riseSeconds * 1000);
  const allowed = allowedMs(allowance, now);
  if (countedMs > allowed) {
    return {
      kind: 'refused',
      refused: refuse(
        refusalCodes.fasterThanTime,
        `the counter rose by ${riseSeconds} s, but at most ${Math.max(0, Math.floor(allowed / 1000))} s can have passed`,
      ),
    };
  }
  return {
    kind: 'counted',
    state: {
      ...state,
      track: { maxSeconds: seconds, at: now },
      isDoubtful,
      allowance: spend(allowance, countedMs, now),
    },
    countedMs,
    isChanged: true,
  };
}
