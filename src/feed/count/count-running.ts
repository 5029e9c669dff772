import { type Allowance, allowedMs, spend, startAllowance } from './allowance.js';
import { isSilent } from './coverage.js';
import { elapsedMs, type Moment } from './moment.js';
import { type Step, unchanged } from './step.js';

/** A sign of life: when it arrived, and the device's own time for it where it gives one that can be believed. */
export interface Sign {
  readonly moment: Moment;
  readonly deviceAtMs: number | null;
}

/** What has to be remembered of a sensor that says "runs" or "stands". */
export interface RunningState {
  readonly kind: 'running';
  readonly isRunning: boolean;
  /** The run was ended by silence, not by a no: a sensor whose own time says that it was never silent, only not heard, goes on with it. */
  readonly isUnheard: boolean;
  /** Last sign of life; run time is counted up to here. */
  readonly last: Sign | null;
  readonly allowance: Allowance | null;
}

export const standsStill: RunningState = {
  kind: 'running',
  isRunning: false,
  isUnheard: false,
  last: null,
  allowance: null,
};

/** Counts a yes or a no: running lasts from a yes to the next no, or to the last sign of life before a silence.
 *  @param isUndated  nobody saw when it was said, since it is the last known state, kept by the broker, or waited while we could not hear:
 *                    it can start or end a run, but is no sign of life and counts nothing, unless the device's own times say when it was
 *  @returns          the state after it and the milliseconds counted, >= 0, never more than passed
 *  Source: the counting rules of the feed, our own. */
export function countRunning(
  state: RunningState,
  isRunning: boolean,
  sign: Sign,
  silentAfterMs: number,
  isUndated: boolean,
): Step<RunningState> {
  const { last } = state;
  if (last === null) {
    const first: RunningState = { ...standsStill, isRunning, last: sign, allowance: startAllowance(sign.moment) };
    return { kind: 'counted', state: first, countedMs: 0, isChanged: true };
  }
  if (isOlder(sign, last)) return unchanged(state);
  if (isUndated && !isDated(last, sign)) {
    if (isRunning === state.isRunning) return unchanged(state);
    return {
      kind: 'counted',
      state: { ...state, isRunning, isUnheard: false, last: isRunning ? sign : last },
      countedMs: 0,
      isChanged: true,
    };
  }
  const heard: RunningState = { ...state, isRunning, isUnheard: false };
  const wasOnlyUnheard = state.isUnheard && last.deviceAtMs !== null && sign.deviceAtMs !== null;
  if (!state.isRunning && !wasOnlyUnheard) {
    return { kind: 'counted', state: { ...heard, last: sign }, countedMs: 0, isChanged: isRunning || state.isUnheard };
  }
  const between = betweenMs(last, sign);
  if (between === null || between > silentAfterMs) {
    // The run ended unseen, with its last sign of life; a yes now begins another.
    return { kind: 'counted', state: { ...heard, last: sign }, countedMs: 0, isChanged: true };
  }
  return extendRun(heard, between, sign, !isRunning);
}

/** Lets a run last until `sign`.
 *  @param isOver  whether the state changed with it, so that it is kept even where no time passed */
export function extendRun(state: RunningState, spanMs: number, sign: Sign, isOver: boolean): Step<RunningState> {
  const allowance = state.allowance ?? startAllowance(sign.moment);
  const countedMs = Math.max(0, Math.round(Math.min(spanMs, allowedMs(allowance, sign.moment))));
  return {
    kind: 'counted',
    state: { ...state, last: sign, allowance: spend(allowance, countedMs, sign.moment) },
    countedMs,
    isChanged: isOver || countedMs > 0,
  };
}

/** Ends a run whose sensor fell silent or is gone: what was counted up to its last sign of life stays.
 *  @returns  the same object where nothing ran */
export function stopRunning(state: RunningState): RunningState {
  return state.isRunning ? { ...state, isRunning: false, isUnheard: true } : state;
}

/** Whether the sensor has been silent too long by now. */
export function isRunSilent(state: RunningState, now: Moment, silentAfterMs: number): boolean {
  return state.last !== null && isSilent(state.last.moment, now, silentAfterMs);
}

/** Whether the device's own clock tells how far apart two signs are, however late they came. */
export function isDated(from: Sign, to: Sign): boolean {
  return from.deviceAtMs !== null && to.deviceAtMs !== null;
}

/** Milliseconds between two signs: by the device's own clock where both have its time, else by ours; null where no clock can tell. */
export function betweenMs(from: Sign, to: Sign): number | null {
  if (from.deviceAtMs !== null && to.deviceAtMs !== null) return Math.max(0, to.deviceAtMs - from.deviceAtMs);
  return elapsedMs(from.moment, to.moment);
}

/** A message that was overtaken by a later one. */
export function isOlder(sign: Sign, last: Sign): boolean {
  return sign.deviceAtMs !== null && last.deviceAtMs !== null && sign.deviceAtMs < last.deviceAtMs;
}
