import { dayMs, hourMs } from '../../domain/day.js';
import type { Span } from '../../domain/facts.js';
import type { Random } from '../../domain/outside.js';
import { gauss } from './invented-owners.js';
import { instant, type ScoredCase } from './lay-cases.js';

/** Mean length in days of a stretch with the sensor and of one without: three days in ten are missed, in blocks. */
const stretchDays = { seen: 21, missed: 9 } as const;

/** A case with its feed. */
export interface FedCase {
  readonly scored: ScoredCase;
  /** Meter hours per hour of the sensor. */
  readonly ratio: number;
}

/** The same question with a run-time sensor that counted since the first reading but misses three days in ten, in blocks, and whose
 *  hours are not the meter's: one hour of the sensor is about 0.85 h of the meter, differently for each machine. Nobody read the meter
 *  for the last three weeks to seven months.
 *  @param random  decides blocks, ratio and since when nobody read
 *  @returns       null where fewer than two readings are left */
export function withFeed(scored: ScoredCase, random: Random): FedCase | null {
  const { series, question } = scored;
  const unreadMs = question.nowMs - (20 + 180 * random()) * dayMs;
  const readings = question.readings.filter((reading) => reading.atMs <= unreadMs);
  const firstMs = readings[0]?.atMs;
  if (firstMs === undefined || readings.length < 2) return null;
  const ratio = 0.85 * Math.exp(0.15 * gauss(random));
  const coverage: Span[] = [];
  const runs: Span[] = [];
  const last = Math.round(question.nowMs / dayMs) - series.firstDay;
  let day = Math.round(firstMs / dayMs) - series.firstDay;
  while (day < last) {
    const until = Math.min(last, day + drawDays(stretchDays.seen, random));
    coverage.push({ fromMs: instant(series, day), toMs: instant(series, until) });
    for (let d = day; d < until; d += 1) {
      const sensorHours = Math.min(23.9, (series.hours[d] ?? 0) / ratio);
      // Work begins at nine, or early enough to end the same day.
      const fromMs = instant(series, d) + Math.min(9, 24 - sensorHours) * hourMs;
      if (sensorHours > 0) runs.push({ fromMs, toMs: fromMs + sensorHours * hourMs });
    }
    day = until + drawDays(stretchDays.missed, random);
  }
  return { scored: { ...scored, question: { ...question, readings, runs, coverage } }, ratio };
}

function drawDays(mean: number, random: Random): number {
  return Math.max(1, Math.round(-mean * Math.log(1 - random())));
}
