import { dayMs, formatInstant, minuteMs } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import type { Expectation, MeterChange } from '../domain/machine.js';
import type { MeterHours } from '../domain/meter-hours.js';
import { hoursQuantiles, pReached } from '../hours/at.js';
import { estimateHours } from '../hours/estimate.js';
import { arrangeEvidence, carryHours } from '../hours/evidence.js';
import { crossings, farthestDays } from './crossing.js';
import { caseFault } from './errors.js';

/** One question about one machine, with all that is known of it. */
export interface ForecastCase {
  readonly nowMs: number;
  /** On the meter in use at now. */
  readonly targetHours: number;
  /** In any order, each on the meter in use at its instant. */
  readonly readings: readonly { readonly atMs: number; readonly hours: number }[];
  readonly expect: Expectation;
  readonly hemisphere: 'north' | 'south';
  readonly runs: readonly Span[];
  readonly coverage: readonly Span[];
  readonly meters: readonly MeterChange[];
  /** Nothing ran from here until now; null where nobody says so. */
  readonly notUsedSinceMs: number | null;
  /** Each above 0 and below 1. */
  readonly levels: readonly number[];
  /** Days after now, each 0 to 3650. */
  readonly probeDays: readonly number[];
}

/** What `compute forecast` answers to one case. */
export interface ForecastAnswer {
  /** One a level. */
  readonly hoursNow: readonly MeterHours[];
  /** Days after now, one a level: negative where probably reached before now (not before the newest reading), null beyond 3650. */
  readonly dueDays: readonly (number | null)[];
  /** Chance that the target is reached within so many days, one a probe day. */
  readonly dueWithin: readonly number[];
}

const clockSlackMs = 5 * minuteMs;
/** Meters show tenths: a fall within rounding is none. */
const roundingHours = 0.051;
/** Days; answers finer than this say nothing. */
const dayTolerance = 0.005;

/** Hours now, when the target is reached, and how likely within some days: the service's own hours and forecast code on one case.
 *  @param aCase  numbers finite
 *  @throws       Fault case-without-evidence, case-hours-fall, case-readings-disagree, case-in-future */
export function computeForecast(aCase: ForecastCase): ForecastAnswer {
  const { nowMs, targetHours, levels, probeDays } = aCase;
  checkCase(aCase);
  const evidence = arrangeEvidence({
    readings: aCase.readings.map(({ atMs, hours }) => ({ atMs, hours, about: false })),
    changes: aCase.meters,
    runs: aCase.runs,
    coverage: aCase.coverage,
    notUsed: aCase.notUsedSinceMs === null ? [] : [{ fromMs: aCase.notUsedSinceMs, toMs: nowMs }],
    meterRatioKnown: false,
    meterCounts: 'engine-speed',
    expect: aCase.expect,
    hemisphere: aCase.hemisphere,
  });
  const estimate = estimateHours(evidence, nowMs);
  if (estimate === null) throw withoutEvidence();
  const due = crossings(estimate, targetHours, levels, nowMs + farthestDays * dayMs, dayTolerance * dayMs);
  const dueWithin = new Array<number>(probeDays.length).fill(0);
  let highest = 0;
  const order = probeDays.map((days, i) => ({ days, i })).sort((a, b) => a.days - b.days);
  for (const { days, i } of order) {
    highest = Math.max(highest, pReached(estimate, targetHours, nowMs + days * dayMs));
    dueWithin[i] = highest;
  }
  return {
    hoursNow: hoursQuantiles(estimate, nowMs, levels),
    dueDays: due.map((atMs) => (atMs === null ? null : (atMs - nowMs) / dayMs)),
    dueWithin,
  };
}

function withoutEvidence() {
  return caseFault(
    'case-without-evidence',
    'There is nothing to forecast from',
    'no readings and no runs',
    'Give at least one reading or run.',
  );
}

function checkCase(aCase: ForecastCase): void {
  const { nowMs, meters } = aCase;
  if (aCase.readings.length === 0 && aCase.runs.length === 0) throw withoutEvidence();
  const inFuture = (what: string, atMs: number) =>
    caseFault('case-in-future', `${what} lies after now`, formatInstant(atMs), `Now is ${formatInstant(nowMs)}.`);
  for (const reading of aCase.readings)
    if (reading.atMs > nowMs + clockSlackMs) throw inFuture('A reading', reading.atMs);
  for (const run of aCase.runs) if (run.toMs > nowMs + clockSlackMs) throw inFuture('A run', run.toMs);
  for (const change of meters) if (change.atMs > nowMs + clockSlackMs) throw inFuture('A meter change', change.atMs);
  if (aCase.notUsedSinceMs !== null && aCase.notUsedSinceMs > nowMs)
    throw inFuture('notUsedSince', aCase.notUsedSinceMs);
  const carried = aCase.readings.map(({ atMs, hours }) => ({
    atMs,
    shown: hours,
    hours: carryHours(meters, hours, atMs),
  }));
  for (const { atMs, firstHours } of meters)
    carried.push({ atMs, shown: firstHours, hours: carryHours(meters, firstHours, atMs) });
  carried.sort((a, b) => a.atMs - b.atMs || a.hours - b.hours);
  carried.forEach((reading, i) => {
    const last = carried[i - 1];
    if (last === undefined) return;
    if (last.atMs === reading.atMs && reading.hours - last.hours > roundingHours) {
      throw caseFault(
        'case-readings-disagree',
        'Two readings of one instant differ',
        `${last.shown} h and ${reading.shown} h at ${formatInstant(reading.atMs)}`,
        'Keep the right one.',
      );
    }
    if (reading.hours < last.hours - roundingHours) {
      throw caseFault(
        'case-hours-fall',
        'The hours fall',
        `${reading.shown} h at ${formatInstant(reading.atMs)} after ${last.shown} h at ${formatInstant(last.atMs)}`,
        'Correct the reading, or say in `meters` when the meter was replaced.',
      );
    }
  });
}
