import type { Readable } from 'node:stream';
import { StringDecoder } from 'node:string_decoder';
import { z } from 'zod';
import { parseInstant, parseZone } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { seasonWords } from '../domain/machine.js';
import { computeForecast, type ForecastCase } from '../forecast/compute.js';
import { exitStatus } from './output.js';

/** Longest line that is read, in characters. */
const mostLineLength = 16_000_000;
const utc = parseZone('UTC');

const instant = z.string().transform((text, context) => {
  try {
    return parseInstant(text, utc);
  } catch (fault) {
    context.addIssue({ code: 'custom', message: fault instanceof Fault ? fault.line : String(fault) });
    return z.NEVER;
  }
});
const hours = z.number().min(0).max(1e6);
const span = z
  .object({ from: instant, to: instant })
  .refine((one) => one.to >= one.from, { message: 'it ends before it begins' })
  .transform((one) => ({ fromMs: one.from, toMs: one.to }));

const caseSchema = z
  .object({
    id: z.union([z.string().max(1000), z.number()], { error: 'wants a text or a number' }),
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

/** Answers forecast cases, one JSON line each, in the order of the input. A line that cannot be answered gets `{"id", "error"}` and the rest
 *  go on; blank lines are passed over. One line at a time is held in memory, and of a line over 16 million characters nothing.
 *  @param input  text in any pieces; the last line may lack its newline
 *  @param write  gets each answer without a newline, and answers whether anybody still listens; where nobody does, the rest is left
 *  @returns      exit status: 0, or 1 where any line was in error */
export async function computeForecastLines(
  input: AsyncIterable<string> | Readable,
  write: (line: string) => boolean | Promise<boolean>,
): Promise<number> {
  let hasErrors = false;
  for await (const line of splitLines(input)) {
    const answer =
      line === null ? failed(null, `The line is longer than ${mostLineLength} characters.`) : answerLine(line);
    if (answer === null) continue;
    if (answer.isError) hasErrors = true;
    if (!(await write(answer.text))) break;
  }
  return hasErrors ? exitStatus.failed : exitStatus.fine;
}

interface Answer {
  readonly text: string;
  readonly isError: boolean;
}

function answerLine(line: string): Answer | null {
  if (line.trim() === '') return null;
  let value: unknown;
  try {
    // A byte order mark is blank space here.
    value = JSON.parse(line.trim());
  } catch {
    return failed(null, 'The line is not JSON.');
  }
  const parsed = caseSchema.safeParse(value);
  if (!parsed.success) return failed(idOf(value), parsed.error.issues.map(sayIssue).join(' '));
  try {
    const answer = computeForecast(parsed.data.aCase);
    const text = JSON.stringify({
      id: parsed.data.id,
      hoursNow: answer.hoursNow.map((hoursNow) => round(hoursNow, 4)),
      dueDays: answer.dueDays.map((days) => (days === null ? null : round(days, 4))),
      dueWithin: answer.dueWithin.map((p) => round(p, 8)),
    });
    return { text, isError: false };
  } catch (fault) {
    // Whatever one line brings about, the rest go on.
    return failed(parsed.data.id, fault instanceof Fault ? fault.line : `This could not be computed: ${fault}`);
  }
}

function failed(id: string | number | null, error: string): Answer {
  return { text: JSON.stringify({ id, error }), isError: true };
}

function idOf(value: unknown): string | number | null {
  if (typeof value !== 'object' || value === null || !('id' in value)) return null;
  const { id } = value;
  return typeof id === 'string' || (typeof id === 'number' && Number.isFinite(id)) ? id : null;
}

function sayIssue(issue: { path: PropertyKey[]; message: string }): string {
  const place = issue.path.map(String).join('.');
  const message = /[.?!]$/.test(issue.message) ? issue.message : `${issue.message}.`;
  return place === '' ? message : `${place}: ${message}`;
}

function round(value: number, digits: number): number {
  const scale = 10 ** digits;
  return Math.round(value * scale) / scale;
}

/** Lines without their newline; null for one that is too long. */
async function* splitLines(input: AsyncIterable<string> | Readable): AsyncGenerator<string | null> {
  const decoder = new StringDecoder('utf8');
  let rest = '';
  let isSkipping = false;
  for await (const chunk of input) {
    let text = typeof chunk === 'string' ? chunk : decoder.write(chunk);
    let end = text.indexOf('\n');
    while (end >= 0) {
      const piece = rest + text.slice(0, end);
      if (isSkipping || piece.length > mostLineLength) yield null;
      else yield piece;
      rest = '';
      isSkipping = false;
      text = text.slice(end + 1);
      end = text.indexOf('\n');
    }
    if (!isSkipping) rest += text;
    if (rest.length > mostLineLength) {
      rest = '';
      isSkipping = true;
    }
  }
  rest += decoder.end();
  if (isSkipping) yield null;
  else if (rest !== '') yield rest;
}
