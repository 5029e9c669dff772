import { z } from 'zod';
import { parseInstant, parseZone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { seasonWords } from '../domain/machine.js';
import { meterHours } from '../domain/meter-hours.js';
import { computeForecast, type ForecastCase } from '../forecast/compute.js';
import { answerLines, type Kind, type Lines, lineId, type Write } from './compute-lines.js';

const utc = parseZone('UTC');

const instant = z.string().transform((text, context) => {
  try {
    return parseInstant(text, utc);
  } catch (fault) {
    context.addIssue({ code: 'custom', message: fault instanceof Fault ? fault.line : String(fault) });
    return z.NEVER;
  }
});
const hours = z.number().min(0).max(1e6).transform(meterHours);
const span = z
  .object({ from: instant, to: instant })
  .refine((one) => one.to >= one.from, { message: 'it ends before it begins' })
  .transform((one) => ({ fromMs: one.from, toMs: one.to }));

const caseSchema = z
  .object({
    id: lineId,
    now: instant,
    targetHours: hours,
    readings: z.array(z.object({ at: instant, hours }).transform((one) => ({ atMs: one.at, hours: one.hours }))),
    expect: z
      .object({ hoursPerYear: z.number().min(0).max(8784).nullish(), season: z.enum(seasonWords).nullish() })
      .nullish(),
    hemisphere: z.enum(['north', 'south']).nullish(),
    runs: z.array(span).nullish(),
    coverage: z.array(span).nullish(),
    meters: z
      .array(
        z
          .object({ at: instant, last: hours, first: hours })
          .transform((one) => ({ atMs: one.at, lastHours: one.last, firstHours: one.first })),
      )
      .nullish(),
    notUsedSince: instant.nullish(),
    levels: z.array(z.number().gt(0).lt(1)).max(1000),
    probeDays: z.array(z.number().min(0).max(36_500)).max(1000),
  })
  .transform((line) => {
    const hoursPerYear = line.expect?.hoursPerYear;
    const season = line.expect?.season ?? 'unknown';
    const aCase: ForecastCase = {
      nowMs: line.now,
      targetHours: line.targetHours,
      readings: line.readings,
      expect: typeof hoursPerYear === 'number' ? { hoursPerYear, season } : { season },
      hemisphere: line.hemisphere ?? 'north',
      runs: line.runs ?? [],
      coverage: line.coverage ?? [],
      meters: line.meters ?? [],
      notUsedSinceMs: line.notUsedSince ?? null,
      levels: line.levels,
      probeDays: line.probeDays,
    };
    return { id: line.id, aCase };
  });

/** `compute forecast`: hours now, due dates and chances, one case a line.
 *  @param write  gets each answer without a newline, and answers whether anybody still listens; where nobody does, the rest is left
 *  @returns      exit status: 0, or 1 where any line was in error */
export function computeForecastLines(input: Lines, write: Write): Promise<number> {
  return answerLines(forecastKind, input, write);
}

/** What answers one line of `compute forecast`. */
export const forecastKind: Kind<z.infer<typeof caseSchema>> = {
  schema: caseSchema,
  answer: ({ aCase }) => {
    const answer = computeForecast(aCase);
    return {
      hoursNow: answer.hoursNow.map((hoursNow) => round(hoursNow, 4)),
      dueDays: answer.dueDays.map((days) => (days === null ? null : round(days, 4))),
      dueWithin: answer.dueWithin.map((p) => round(p, 8)),
    };
  },
};

function round(value: number, digits: number): number {
  const scale = 10 ** digits;
  return Math.round(value * scale) / scale;
}
