import { sayDecimal } from '../../words/counts.js';
import { refusalCodes, refuse } from '../errors.js';
import { type Allowance, allowedMs, spend, startAllowance } from './allowance.js';
import type { Moment } from './moment.js';
import { type Step, unchanged } from './step.js';

/** What has to be remembered of a sensor that reports the meter itself. */
export interface MeterHoursState {
  readonly kind: 'meter-hours';
  readonly lastHours: number | null;
  readonly allowance: Allowance | null;
}

export const noMeterYet: MeterHoursState = { kind: 'meter-hours', lastHours: null, allowance: null };

/** Meters round to a tenth of an hour. Common practice, no source. */
const meterSlackMs = 360_000;

/** Counts hours that the machine's meter shows. The first value counts 0; a rise counts its difference, at most 24 h a day and a tenth
 *  of an hour for rounding; a value below the last is refused: a replaced meter is told in the machine's file.
 *  @param hours  finite, >= 0
 *  @returns      the state after it and the milliseconds counted, >= 0 */
export function countMeterHours(state: MeterHoursState, hours: number, now: Moment): Step<MeterHoursState> {
  const { lastHours, allowance } = state;
  if (lastHours === null || allowance === null) {
    const first: MeterHoursState = { kind: 'meter-hours', lastHours: hours, allowance: startAllowance(now) };
    return { kind: 'counted', state: first, countedMs: 0, isChanged: true };
  }
  if (hours === lastHours) return unchanged(state);
  if (hours < lastHours) {
    return {
      kind: 'refused',
      refused: refuse(
        refusalCodes.belowLast,
        `the meter stands at ${sayDecimal(hours, 4)} h, below the ${sayDecimal(lastHours, 4)} h that it showed before; a replaced meter is entered in the machine's file`,
      ),
    };
  }
  const countedMs = Math.round((hours - lastHours) * 3_600_000);
  const allowed = allowedMs(allowance, now, meterSlackMs);
  if (countedMs > allowed) {
    const most = Math.max(0, Math.floor(allowed / 36_000) / 100);
    return {
      kind: 'refused',
      refused: refuse(
        refusalCodes.fasterThanTime,
        `the meter rose from ${sayDecimal(lastHours, 4)} h to ${sayDecimal(hours, 4)} h, but at most ${sayDecimal(most, 2)} h can have passed`,
      ),
    };
  }
  return {
    kind: 'counted',
    state: { kind: 'meter-hours', lastHours: hours, allowance: spend(allowance, countedMs, now, meterSlackMs) },
    countedMs,
    isChanged: true,
  };
}
