import { startAllowance } from './allowance.js';
import { betweenMs, extendRun, isDated, isOlder, type RunningState, type Sign, standsStill } from './count-running.js';
import { type Step, unchanged } from './step.js';

/** What has to be remembered of a battery whose voltage tells whether the engine charges it. */
export interface VoltageState {
  readonly kind: 'voltage';
  readonly run: RunningState;
  /** First of the samples that say otherwise than the state does; it turns when they held long enough. */
  readonly turning: Sign | null;
  readonly lastSample: Sign | null;
}

export const noVoltageYet: VoltageState = { kind: 'voltage', run: standsStill, turning: null, lastSample: null };

export interface VoltageLimits {
  readonly aboveVolts: number;
  readonly belowVolts: number;
  readonly holdMs: number;
  readonly silentAfterMs: number;
}

/** Counts a voltage sample: running above `aboveVolts`, standing below `belowVolts`, each once it held for `holdMs`, and then from the
 *  first sample that said so. A crank dip or a short charge changes nothing; a silence ends the run at its last sample.
 *  @param isWaited  it may have waited while we could not hear: then it counts nothing, and a low one ends the run at the last sample that was
 *                   heard, unless the device's own times say when each was
 *  @returns         the state after it and the milliseconds counted, >= 0
 *  Source: hysteresis and hold as configured; that a running engine lifts the voltage is common practice, no source. */
export function countVoltage(
  state: VoltageState,
  volts: number,
  sign: Sign,
  limits: VoltageLimits,
  isWaited: boolean,
): Step<VoltageState> {
  if (state.lastSample !== null && isOlder(sign, state.lastSample)) return unchanged(state);
  if (isWaited && state.lastSample !== null && !isDated(state.lastSample, sign)) {
    return afterWaiting(state, volts, sign, limits);
  }
  const gapMs = state.lastSample === null ? null : betweenMs(state.lastSample, sign);
  const wasSilent = gapMs === null || gapMs > limits.silentAfterMs;
  const isStopped = wasSilent && state.run.isRunning;
  const run = isStopped ? { ...state.run, isRunning: false } : state.run;
  const seen: VoltageState = { kind: 'voltage', run, turning: wasSilent ? null : state.turning, lastSample: sign };
  const step = seen.run.isRunning ? whileRunning(seen, volts, sign, limits) : whileStanding(seen, volts, sign, limits);
  return step.kind === 'counted' && isStopped ? { ...step, isChanged: true } : step;
}

function afterWaiting(state: VoltageState, volts: number, sign: Sign, limits: VoltageLimits): Step<VoltageState> {
  if (!state.run.isRunning) return turned(state, volts <= limits.aboveVolts ? null : (state.turning ?? sign));
  if (volts >= limits.belowVolts) return unchanged(state);
  const run = { ...state.run, isRunning: false };
  return { kind: 'counted', state: { ...state, run, turning: null, lastSample: sign }, countedMs: 0, isChanged: true };
}

function whileStanding(state: VoltageState, volts: number, sign: Sign, limits: VoltageLimits): Step<VoltageState> {
  if (volts <= limits.aboveVolts) return turned(state, null);
  const since = state.turning ?? sign;
  const heldMs = betweenMs(since, sign) ?? 0;
  if (heldMs < limits.holdMs) return turned(state, since);
  const allowance = state.run.allowance ?? startAllowance(since.moment);
  const begun: RunningState = { ...standsStill, isRunning: true, last: since, allowance };
  return within({ ...state, turning: null }, extendRun(begun, heldMs, sign, true));
}

/** The first high sample is kept at once: after a crash the run still begins there, and not where the hold was over. */
function turned(state: VoltageState, turning: Sign | null): Step<VoltageState> {
  const isChanged = (turning === null) !== (state.turning === null);
  return { kind: 'counted', state: { ...state, turning }, countedMs: 0, isChanged };
}

function whileRunning(state: VoltageState, volts: number, sign: Sign, limits: VoltageLimits): Step<VoltageState> {
  const { run, turning } = state;
  const sinceLastMs = run.last === null ? 0 : (betweenMs(run.last, sign) ?? 0);
  if (volts >= limits.belowVolts) return within({ ...state, turning: null }, extendRun(run, sinceLastMs, sign, false));
  if (turning === null) {
    // The run lasts at least until here; whether it ended here, the hold will tell.
    const isOver = limits.holdMs === 0;
    return within(
      { ...state, turning: isOver ? null : sign },
      extendRun({ ...run, isRunning: !isOver }, sinceLastMs, sign, isOver),
    );
  }
  if ((betweenMs(turning, sign) ?? 0) < limits.holdMs) return unchanged(state);
  return {
    kind: 'counted',
    state: { ...state, run: { ...run, isRunning: false }, turning: null },
    countedMs: 0,
    isChanged: true,
  };
}

function within(state: VoltageState, step: Step<RunningState>): Step<VoltageState> {
  return step.kind === 'refused' ? step : { ...step, state: { ...state, run: step.state } };
}
