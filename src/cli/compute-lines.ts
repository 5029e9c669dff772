import type { Readable } from 'node:stream';
import { StringDecoder } from 'node:string_decoder';
import { z } from 'zod';
import { Fault } from '../domain/fault.js';
import { sayWanted } from './line-words.js';
import { exitStatus } from './output.js';

/** Longest line that is read, in characters. */
const mostLineLength = 16_000_000;

/** The id of a line, which its answer carries. */
export const lineId = z.union([z.string().max(1000), z.number()], { error: 'wants a text or a number' });

/** One kind of question: how a line is read, and what is answered besides the id. */
export interface Kind<T extends { readonly id: string | number }> {
  readonly schema: z.ZodType<T>;
  /** May raise a Fault, which becomes the line's error. */
  readonly answer: (question: T) => object;
}

/** Text in any pieces; the last line may lack its newline. */
export type Lines = AsyncIterable<string> | Readable;

/** Gets each answer without a newline, and answers whether anybody still listens. */
export type Write = (line: string) => boolean | Promise<boolean>;

/** Answers cases, one JSON line each, in the order of the input. A line that cannot be answered gets `{"id", "error"}` and the rest
 *  go on; blank lines are passed over. One line at a time is held in memory, and of a line over 16 million characters nothing.
 *  @param kind   of every line
 *  @param write  where nobody listens any more, the rest is left
 *  @returns      exit status: 0, or 1 where any line was in error */
export async function answerLines<T extends { readonly id: string | number }>(
  kind: Kind<T>,
  input: Lines,
  write: Write,
): Promise<number> {
  let hasErrors = false;
  for await (const line of splitLines(input)) {
    const answer =
      line === null ? failed(null, `The line is longer than ${mostLineLength} characters.`) : answerLine(kind, line);
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

function answerLine<T extends { readonly id: string | number }>(kind: Kind<T>, line: string): Answer | null {
  if (line.trim() === '') return null;
  let value: unknown;
  try {
    // A byte order mark is blank space here.
    value = JSON.parse(line.trim());
  } catch {
    return failed(null, 'The line is not JSON.');
  }
  const parsed = kind.schema.safeParse(value, { error: sayWanted });
  if (!parsed.success) return failed(idOf(value), parsed.error.issues.map(sayIssue).join(' '));
  try {
    return { text: JSON.stringify({ id: parsed.data.id, ...kind.answer(parsed.data) }), isError: false };
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
  return `${place === '' ? 'The line' : `${place}:`} ${message}`;
}

/** Lines without their newline; null for one that is too long. */
async function* splitLines(input: Lines): AsyncGenerator<string | null> {
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
