import { dayMs } from '../domain/day.js';
import type { Evidence, EvidenceReading } from './evidence.js';

/** The readings around an instant: those that the law of the hours goes by, and those that a meter cannot contradict. */
export interface Neighbours {
  readonly before: EvidenceReading | undefined;
  readonly after: EvidenceReading | undefined;
  /** Known well, within a day of the instant, nearest first; always the nearest of all, however far. */
  readonly sureBefore: readonly EvidenceReading[];
  readonly sureAfter: readonly EvidenceReading[];
}

/** Meters round: one with tenths may step by a tenth at each end, one that shows whole hours by an hour; clocks differ by minutes. */
const roundingHours = { tenths: 0.2, whole: 1 } as const;

/** @param evidence  arranged */
export function neighboursOf({ readings }: Evidence, atMs: number): Neighbours {
  // A meter was replaced at this very instant: both showings stand there, and each is its own limit.
  const last = readings.findLastIndex((one) => one.atMs <= atMs);
  return {
    before: readings[last],
    after: readings[last + 1],
    sureBefore: sureFrom(readings, last, -1, atMs),
    sureAfter: sureFrom(readings, last + 1, 1, atMs),
  };
}

/** Steps that are each within what a meter rounds must not add up: so all of a day are asked. */
function sureFrom(readings: readonly EvidenceReading[], start: number, step: 1 | -1, atMs: number): EvidenceReading[] {
  const sure: EvidenceReading[] = [];
  for (let i = start; i >= 0 && i < readings.length; i += step) {
    const one = readings[i];
    if (one === undefined || one.about) continue;
    if (sure.length > 0 && Math.abs(one.atMs - atMs) > dayMs) break;
    sure.push(one);
  }
  return sure;
}

/** How two readings contradict each other, and which one of those known it is. */
export interface Clash {
  readonly kind: 'below-last' | 'too-fast' | 'above-later' | 'too-fast-after';
  readonly with: EvidenceReading;
}

/** How a reading contradicts its neighbours; null where it agrees with all.
 *  @param reading  hours carried to the meter in use now
 *  @param shift    from the meter in use at its instant, hours */
export function clash(
  { sureBefore, sureAfter }: Neighbours,
  reading: { readonly atMs: number; readonly hours: number },
  shift: number,
): Clash | null {
  const isTooFast = (one: { atMs: number; hours: number }, next: { atMs: number; hours: number }) => {
    const isWhole = [one, next].every(({ hours }) => isWholeHours(hours - shift));
    const rounding = isWhole ? roundingHours.whole : roundingHours.tenths;
    return next.hours - one.hours > (24 * (next.atMs - one.atMs)) / dayMs + rounding + 1e-9;
  };
  const [last] = sureBefore;
  if (last !== undefined && reading.hours < last.hours - 1e-9) return { kind: 'below-last', with: last };
  const outrun = sureBefore.find((one) => isTooFast(one, reading));
  if (outrun !== undefined) return { kind: 'too-fast', with: outrun };
  const [next] = sureAfter;
  if (next !== undefined && reading.hours > next.hours + 1e-9) return { kind: 'above-later', with: next };
  const outran = sureAfter.find((one) => isTooFast(reading, one));
  return outran === undefined ? null : { kind: 'too-fast-after', with: outran };
}

/** Whether a meter that shows whole hours may show these: carrying them over to another meter leaves a hair. */
function isWholeHours(hours: number): boolean {
  return Math.abs(hours - Math.round(hours)) < 1e-6;
}
