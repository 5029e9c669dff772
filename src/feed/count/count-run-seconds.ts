import { sayDecimal } from '../../words/counts.js';
import { refusalCodes, refuse } from '../errors.js';
import { type Allowance, allowedMs, liveMs, spend, startAllowance } from './allowance.js';
import { elapsedMs, leastElapsedMs, type Moment, mostElapsedMs } from './moment.js';
import { type Step, unchanged } from './step.js';

/** One life of the sensor's counter, from a restart on. */
interface Track {
  /** Highest value seen, seconds. */
  readonly maxSeconds: number;
  /** When it arrived. */
  readonly at: Moment;
  /** The device's own time for it, UTC milliseconds; null where it tells none. */
  readonly deviceAtMs: number | null;
  /** The device's own time for the first value that was seen of this life. */
  readonly sinceDeviceMs: number | null;
}

/** What has to be remembered of a counter that may restart from zero. */
export interface RunSecondsState {
  readonly kind: 'run-seconds';
  /** Null until the first value, which is the baseline. */
  readonly track: Track | null;
  /** The life before the last restart: a value that goes on from there was a stale repeat, or the restart was none. Null once the life
   *  now has risen past where that one ended. */
  readonly before: Track | null;
  /** The life now was taken up again on such a value, and no live rise has confirmed it yet. */
  readonly isDoubtful: boolean;
  /** The life now has risen in step with time, so that its restart was one: only the last value of the life before is a repeat then. */
  readonly isRestartSure: boolean;
  readonly allowance: Allowance | null;
}

export const noCounterYet: RunSecondsState = {
  kind: 'run-seconds',
  track: null,
  before: null,
  isDoubtful: false,
  isRestartSure: false,
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
 *  @param isAgain  the broker marks it as sent before, or as retained, which may be of any age: then a fall is never a restart, since a
 *                  counter that did restart will say so again with its next value, and one that is young may not count twice when its
 *                  last minute is delivered twice
 *  @param deviceAtMs  the device's own time where it tells one: a fall, or a jump, that is older than the highest value is a repeat for
 *                  sure, and what is newer is none
 *  @returns        the state after it and the milliseconds counted, >= 0
 *  Source: the counting rules of the feed, our own. */
export function countRunSeconds(
  state: RunSecondsState,
  seconds: number,
  now: Moment,
  isAgain = false,
  deviceAtMs: number | null = null,
): Step<RunSecondsState> {
  const { track, before, allowance } = state;
  const here: Track = { maxSeconds: seconds, at: now, deviceAtMs, sinceDeviceMs: deviceAtMs };
  if (track === null || allowance === null) {
    return {
      kind: 'counted',
      state: { ...noCounterYet, track: here, allowance: startAllowance(now) },
      countedMs: 0,
      isChanged: true,
    };
  }
  if (seconds === track.maxSeconds) return unchanged(state);
  const isLive = (seconds - track.maxSeconds) * 1000 <= liveMs(allowance, now);
  const order = orderOf(track, deviceAtMs);
  // A rise that is older than this life began is of the life before; a later one counts on: every value is older while a device's clock
  // is set back.
  const isOfBefore = deviceAtMs !== null && track.sinceDeviceMs !== null && deviceAtMs < track.sinceDeviceMs;
  if (order === 'older' && (seconds < track.maxSeconds || isOfBefore)) return unchanged(state);
  if (seconds < track.maxSeconds) {
    if (order === 'unknown' && state.isDoubtful && before !== null && goesOnFrom(before, seconds, now)) {
      return takeUp(state, before, here);
    }
    const secondsSince = leastElapsedMs(track.at, now) / 1000;
    if ((isAgain && order !== 'newer') || seconds > secondsSince + restartSlackSeconds) return unchanged(state);
    const countedMs = Math.round(seconds * 1000);
    return {
      kind: 'counted',
      state: {
        kind: 'run-seconds',
        track: here,
        before: track,
        isDoubtful: false,
        isRestartSure: false,
        allowance: spend(allowance, countedMs, now),
      },
      countedMs,
      isChanged: true,
    };
  }
  const riseSeconds = seconds - track.maxSeconds;
  if (!isLive && order === 'unknown' && before !== null) {
    if (isAgain && seconds <= before.maxSeconds) return unchanged(state);
    const mayRepeat = !state.isRestartSure || seconds === before.maxSeconds;
    if (riseSeconds > jumpSeconds && mayRepeat && goesOnFrom(before, seconds, now)) return takeUp(state, before, here);
  }
  return count(state, riseSeconds, here, state.isDoubtful && !isLive);
}

/** Whether the device's own time says that a value is earlier or later than the highest so far. */
function orderOf(track: Track, deviceAtMs: number | null): 'older' | 'newer' | 'unknown' {
  if (track.deviceAtMs === null || deviceAtMs === null || track.deviceAtMs === deviceAtMs) return 'unknown';
  return deviceAtMs < track.deviceAtMs ? 'older' : 'newer';
}

/** Whether a value follows an earlier life of the counter within the time that has passed. */
function goesOnFrom(track: Track, seconds: number, now: Moment): boolean {
  const onSeconds = seconds - track.maxSeconds;
  return onSeconds >= 0 && onSeconds * 1000 <= mostElapsedMs(track.at, now);
}

/** Takes the earlier life up again, counting only what it went on. */
function takeUp(state: RunSecondsState, before: Track, here: Track): Step<RunSecondsState> {
  const swapped = { ...state, track: before, before: state.track, isRestartSure: false };
  const onSeconds = here.maxSeconds - before.maxSeconds;
  if (onSeconds === 0)
    return { kind: 'counted', state: { ...swapped, isDoubtful: true }, countedMs: 0, isChanged: true };
  return count(swapped, onSeconds, here, true);
}

function count(state: RunSecondsState, riseSeconds: number, here: Track, isDoubtful: boolean): Step<RunSecondsState> {
  const { at: now, maxSeconds: seconds } = here;
  const { track, before } = state;
  const allowance = state.allowance ?? startAllowance(now);
  const countedMs = Math.round(riseSeconds * 1000);
  const allowed = allowedMs(allowance, now);
  if (countedMs > allowed) {
    return {
      kind: 'refused',
      refused: refuse(
        refusalCodes.fasterThanTime,
        `the counter rose by ${sayDecimal(riseSeconds, 1)} s, but at most ${sayDecimal(Math.max(0, Math.floor(allowed / 1000)), 0)} s can have passed${unitSlip(riseSeconds, track, now)}`,
      ),
    };
  }
  const isPast = before === null || (!isDoubtful && seconds >= before.maxSeconds);
  // Repeats of old values come faster than they were counted.
  const isInStep = track !== null && riseSeconds * 1000 <= (elapsedMs(track.at, now) ?? 0);
  return {
    kind: 'counted',
    state: {
      ...state,
      track: { ...here, sinceDeviceMs: track?.sinceDeviceMs ?? here.sinceDeviceMs },
      before: isPast ? null : before,
      isDoubtful,
      isRestartSure: !isDoubtful && (state.isRestartSure || isInStep),
      allowance: spend(allowance, countedMs, now),
    },
    countedMs,
    isChanged: true,
  };
}

/** A counter of milliseconds that is read as one of seconds rises a thousand times as fast as time: that is said, since it is the commonest
 *  slip of setting a counter up. */
function unitSlip(riseSeconds: number, track: Track | null, now: Moment): string {
  const elapsed = track === null ? null : elapsedMs(track.at, now);
  const isThousandfold =
    elapsed !== null && elapsed > 0 && riseSeconds >= 500 * (elapsed / 1000) && riseSeconds <= 1.1 * elapsed;
  return isThousandfold ? '; it looks like milliseconds: then set scale: 0.001' : '';
}
