import { dayMs } from '../domain/day.js';
import type { HoursTrace } from '../domain/results/outlook.js';
import { hoursQuantiles } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';

/** Quantiles by instant, of one estimate: instants of the past and of the grid ahead come again at every look. */
export type TraceMemory = Map<number, readonly number[]>;

const monthDays = 365.25 / 12;
const monthsBack = 24;
const monthsAhead = 12;
const points = 60;
const levels = [0.1, 0.5, 0.9];

/** A memory that holds nothing yet.
 *  Source: own design. */
export function newTraceMemory(): TraceMemory {
  return new Map();
}

/** Hours over time for the chart: about 60 instants from two years ago (or the first evidence, if later) to a year ahead,
 *  readings among them. The instants between lie on a grid of whole days that does not move with now.
 *  @param estimate  null gives a trace without points
 *  @param nowMs     UTC milliseconds; one of the instants
 *  @param memory    of this estimate; the answer is the same with an empty one
 *  Source: own design. */
export function traceHours(estimate: HoursEstimate | null, nowMs: number, memory = newTraceMemory()): HoursTrace {
  if (estimate === null) return { atMs: [], p10: [], p50: [], p90: [] };
  const { readings, origin } = estimate.timeline;
  const today = Math.floor(nowMs / dayMs);
  const firstMs = Math.min(origin.atMs, readings[0]?.atMs ?? origin.atMs);
  const fromMs = Math.min(nowMs, Math.max(firstMs, (today - Math.round(monthsBack * monthDays)) * dayMs));
  const toMs = (today + Math.round(monthsAhead * monthDays)) * dayMs;
  const stepMs = Math.max(1, Math.floor((toMs - fromMs) / dayMs / (points - 1))) * dayMs;
  const evenly: number[] = [];
  for (let atMs = (Math.floor(fromMs / stepMs) + 1) * stepMs; atMs < toMs; atMs += stepMs) evenly.push(atMs);
  const seen = readings.map((reading) => reading.atMs).filter((atMs) => atMs >= fromMs && atMs <= nowMs);
  const kept = [fromMs, ...evenly, ...thinned(seen), toMs];
  const now = Math.round(nowMs);
  const atMs = [...new Set([...kept, now])].sort((a, b) => a - b);
  const rows = atMs.map((instant) => {
    const known = memory.get(instant);
    if (known !== undefined) return known;
    const made = hoursQuantiles(estimate, instant, levels);
    if (instant !== now) memory.set(instant, made);
    return made;
  });
  const column = (index: number) => rows.map((row) => row[index] ?? 0);
  return { atMs, p10: column(0), p50: column(1), p90: column(2) };
}

/** At most 60 of the readings, evenly chosen, the newest among them. */
function thinned(instants: readonly number[]): number[] {
  const step = Math.max(1, Math.ceil(instants.length / points));
  return instants.filter((_, i) => (instants.length - 1 - i) % step === 0);
}
