import { dayMs } from '../domain/day.js';
import type { HoursTrace } from '../domain/results/outlook.js';
import { hoursQuantiles } from '../hours/at.js';
import type { HoursEstimate } from '../hours/estimate.js';

const monthDays = 365.25 / 12;
const monthsBack = 24;
const monthsAhead = 12;
const points = 60;

/** Hours over time for the chart: about 60 instants from two years ago (or the first evidence, if later) to a year ahead,
 *  readings among them.
 *  @param estimate  null gives a trace without points
 *  @param nowMs     UTC milliseconds; one of the instants
 *  Source: own design. */
export function traceHours(estimate: HoursEstimate | null, nowMs: number): HoursTrace {
  if (estimate === null) return { atMs: [], p10: [], p50: [], p90: [] };
  const { readings, origin } = estimate.timeline;
  const firstMs = Math.min(origin.atMs, readings[0]?.atMs ?? origin.atMs);
  const fromMs = Math.min(nowMs, Math.max(firstMs, nowMs - monthsBack * monthDays * dayMs));
  const toMs = nowMs + monthsAhead * monthDays * dayMs;
  const evenly = Array.from({ length: points }, (_, i) => Math.round(fromMs + ((toMs - fromMs) * i) / (points - 1)));
  const seen = readings.map((reading) => reading.atMs).filter((atMs) => atMs >= fromMs && atMs <= nowMs);
  const atMs = [...new Set([...evenly, ...thinned(seen), Math.round(nowMs)])].sort((a, b) => a - b);
  const rows = atMs.map((instant) => hoursQuantiles(estimate, instant, [0.1, 0.5, 0.9]));
  const column = (index: number) => rows.map((row) => row[index] ?? 0);
  return { atMs, p10: column(0), p50: column(1), p90: column(2) };
}

/** At most 60 of the readings, evenly chosen, the newest among them. */
function thinned(instants: readonly number[]): number[] {
  const step = Math.max(1, Math.ceil(instants.length / points));
  return instants.filter((_, i) => (instants.length - 1 - i) % step === 0);
}
