import type { Limits } from '../domain/limits.js';
import type { VerdictKind } from '../domain/results/verdict.js';

/** Share of the guard that rounding in the arithmetic may eat: exactly half a step from a limit is not too close. */
const relativeSlack = 1e-9;
/** Rounding of a few unit conversions, as a share of the numbers that went into them. */
const roundingShare = 1e-14;

/** Verdict on one number: `in` or `out` when it lies at least `guard` from the nearest limit, else too close to call;
 *  with no guard, a number on the limit is in.
 *  @param value   in the unit of the limits, finite
 *  @param limits  null on both sides gives `in`
 *  @param guard   half of the instrument's step (a whole step for a difference), >= 0, same unit
 *  @param scale   largest number that went into `value`, for rounding; at least its own magnitude is taken
 *  @returns       never `out` on a limit, never `in` beyond one
 *  Source: JCGM 106:2012 clause 8.3.3 with the half step as guard band; JCGM 100:2008 F.2.2.1 for the step. */
export function verdictOf(value: number, limits: Limits, guard: number, scale = 0): VerdictKind {
  const within = isWithin(value, limits, scale);
  if (guard === 0) return within ? 'in' : 'out';
  const distance = Math.min(...limitsOf(limits).map((limit) => Math.abs(value - limit)), Number.POSITIVE_INFINITY);
  const rounding = roundingOf(value, limits, scale);
  if (distance + rounding + guard * relativeSlack < guard) return 'too close to call';
  return within ? 'in' : 'out';
}

/** Whether a number meets its limits as read, limits included.
 *  @param value   in the unit of the limits, finite
 *  @param limits  null on both sides gives true
 *  @param scale   as in verdictOf
 *  Source: ILAC-G8:09/2019, simple acceptance. */
export function isWithin(value: number, limits: Limits, scale = 0): boolean {
  const rounding = roundingOf(value, limits, scale);
  return (
    (limits.min === null || value >= limits.min - rounding) && (limits.max === null || value <= limits.max + rounding)
  );
}

function limitsOf(limits: Limits): number[] {
  return [limits.min, limits.max].filter((limit) => limit !== null);
}

function roundingOf(value: number, limits: Limits, scale: number): number {
  return roundingShare * Math.max(Math.abs(value), scale, ...limitsOf(limits).map(Math.abs));
}
