import { type Day, parseDay } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import type { Row } from './sql.js';

/** Readers of one column each: a row leaves this folder as a domain type or not at all. */
export function text(row: Row, column: string): string {
  const value = row[column];
  if (typeof value !== 'string') throw unreadable(row, column);
  return value;
}

/** Text of a column that may be empty.
 *  @throws Fault of the store where it holds anything else */
export function textOrNull(row: Row, column: string): string | null {
  return row[column] === null ? null : text(row, column);
}

/** A finite number of a column.
 *  @throws Fault of the store where it holds anything else, NaN and null among it */
export function number(row: Row, column: string): number {
  const value = row[column];
  if (typeof value !== 'number' || !Number.isFinite(value)) throw unreadable(row, column);
  return value;
}

/** A finite number of a column that may be empty.
 *  @throws Fault of the store where it holds anything else */
export function numberOrNull(row: Row, column: string): number | null {
  return row[column] === null ? null : number(row, column);
}

/** A calendar day of a column.
 *  @throws Fault where it holds anything else */
export function day(row: Row, column: string): Day {
  return parseDay(text(row, column));
}

/** A calendar day of a column that may be empty.
 *  @throws Fault where it holds anything else */
export function dayOrNull(row: Row, column: string): Day | null {
  return row[column] === null ? null : day(row, column);
}

/** One of a few words. */
export function word<const T extends string>(row: Row, column: string, words: readonly T[]): T {
  const value = row[column];
  const known = words.find((w) => w === value);
  if (known === undefined) throw unreadable(row, column);
  return known;
}

/** A list of texts, kept as JSON. */
export function texts(row: Row, column: string): readonly string[] {
  const value = json(row, column);
  if (!Array.isArray(value) || !value.every((item) => typeof item === 'string')) throw unreadable(row, column);
  return value;
}

/** What a column holds as JSON, to be checked by who asked.
 *  @throws Fault of the store where it is no JSON */
export function json(row: Row, column: string): unknown {
  try {
    return JSON.parse(text(row, column));
  } catch (cause) {
    throw unreadable(row, column, cause);
  }
}

function unreadable(row: Row, column: string, cause?: unknown): Fault {
  return new Fault({
    code: 'store-row-unreadable',
    message: 'A stored row does not hold what it should',
    place: typeof row.id === 'string' ? `${row.id}, ${column}` : column,
    found: String(row[column]).slice(0, 60),
    remedy: 'The data file was changed by something else or is damaged; put the newest copy in its place.',
    cause,
  });
}
