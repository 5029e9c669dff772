import { dayMs, hourMs } from '../domain/day.js';
import { betaI } from '../maths/beta-incomplete.js';
import { firstReaching } from '../maths/search.js';
import { cellDays } from './constants.js';
import type { Belief, HoursEstimate } from './estimate.js';
import type { EvidenceReading } from './evidence.js';
import { gapsBetween, timeWithin } from './spans.js';
import type { Timeline } from './timeline.js';

/** Hours between two readings: what the feed saw is known, the rest of the rise is split by a beta law, mixed over the beliefs. */
export interface Bridge {
  /** Known at least and at most at the instant. */
  readonly lowHours: number;
  readonly highHours: number;
  readonly parts: readonly { readonly weight: number; readonly a: number; readonly b: number }[];
}

/** The bridge at an instant between two readings: with the two sides' means m1 and m2 the first share of the open rise is about
 *  Beta(m1/φ, m2/φ).
 *  @param before,after  neighbouring readings around `atMs`
 *  Source: gamma bridge; Ribeiro and Webber 2004 J. Comput. Finance 7:81-100 (from memory). */
export function bridgeBetween(
  estimate: HoursEstimate,
  before: EvidenceReading,
  after: EvidenceReading,
  atMs: number,
): Bridge {
  const { timeline, ratio } = estimate;
  const rise = after.hours - before.hours;
  const seen = timeWithin(timeline.runs, before.atMs, after.atMs) / hourMs;
  const seenUntil = timeWithin(timeline.runs, before.atMs, atMs) / hourMs;
  const left = gapsBetween(timeline.knownSpans, before.atMs, atMs);
  const right = gapsBetween(timeline.knownSpans, atMs, after.atMs);
  const hasGaps = left.length + right.length > 0;
  // Without a gap the meter's own rise is right and the feed only says how it is spread.
  const ratioHere = seen > 0 ? (hasGaps ? Math.min(ratio.mean, rise / seen) : rise / seen) : 0;
  const lowHours = before.hours + ratioHere * seenUntil;
  const open = seen > 0 ? Math.max(0, rise - ratioHere * seen) : rise;
  const parts = estimate.beliefs.map((belief) => ({
    weight: belief.weight,
    a: Math.max(1e-4, spansUse(belief, timeline, left) / belief.phi),
    b: Math.max(1e-4, spansUse(belief, timeline, right) / belief.phi),
  }));
  if (left.length === 0) return { lowHours, highHours: lowHours, parts };
  if (right.length === 0) return { lowHours: lowHours + open, highHours: lowHours + open, parts };
  return { lowHours, highHours: lowHours + open, parts };
}

/** P(Y >= target) on a bridge: the chance that the meter stands at or past it there.
 *  @param targetHours  finite; 1 at or below the lower end, 0 above the upper one
 *  @returns            0 to 1 */
export function pBridgeAtLeast(bridge: Bridge, targetHours: number): number {
  const { lowHours, highHours, parts } = bridge;
  if (targetHours <= lowHours) return 1;
  if (targetHours > highHours) return 0;
  const share = (targetHours - lowHours) / (highHours - lowHours);
  return 1 - parts.reduce((sum, part) => sum + part.weight * betaI(share, part.a, part.b), 0);
}

/** Quantiles on a bridge, hours, in the order of the levels.
 *  @param levels   each from 0 to 1
 *  @returns        between the ends of the bridge, to a thousandth of what lies between them */
export function bridgeQuantiles(bridge: Bridge, levels: readonly number[]): number[] {
  const { lowHours, highHours } = bridge;
  if (highHours - lowHours < 1e-6) return levels.map(() => lowHours);
  return levels.map((level) =>
    firstReaching(
      (hours) => 1 - pBridgeAtLeast(bridge, hours),
      level,
      lowHours,
      highHours,
      (highHours - lowHours) * 1e-3,
      0,
      1,
    ),
  );
}

/** Expected use of a belief in spans before the newest reading, hours. */
function spansUse(belief: Belief, timeline: Timeline, spans: readonly { fromMs: number; toMs: number }[]): number {
  let hours = 0;
  for (const span of spans) hours += pastUse(belief, timeline, span.fromMs, span.toMs);
  return hours;
}

/** Expected use of a belief between two instants before the newest reading: its rates day by day; before the oldest cell the first
 *  cell's rate holds. */
export function pastUse(belief: Belief, timeline: Timeline, fromMs: number, toMs: number): number {
  const { edges, pastCells, origin } = timeline;
  if (pastCells === 0) return ((belief.course.mean[1] ?? 0) / cellDays) * ((toMs - fromMs) / dayMs);
  const from = (fromMs - origin.atMs) / dayMs;
  const to = (toMs - origin.atMs) / dayMs;
  const oldest = edges[0] ?? 0;
  let hours = Math.max(0, Math.min(to, oldest) - from) * (belief.pastRate[0] ?? 0);
  const firstCell = Math.max(0, pastCells - Math.ceil(Math.max(0, -from) / cellDays));
  for (let cell = firstCell; cell < pastCells; cell += 1) {
    const start = edges[cell] ?? 0;
    if (start >= to) break;
    const days = Math.min(to, edges[cell + 1] ?? to) - Math.max(from, start);
    if (days > 0) hours += days * (belief.pastRate[cell] ?? 0);
  }
  return hours;
}
