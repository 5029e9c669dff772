import type { z } from 'zod';
import { kindsOfValues } from '../domain/value-kinds.js';

type Issue = z.core.$ZodRawIssue;

/** What a line of `compute` wants at one place, and what stands there instead: "wants a number of at least 0, and has -1". Stands
 *  behind the place's own path. Schemas that say it themselves go first.
 *  @returns  undefined for what has its own words already */
export function sayWanted(issue: Issue): string | undefined {
  const wanted = wantedBy(issue);
  if (wanted === null) return undefined;
  return issue.input === undefined ? `is missing; it wants ${wanted}` : `wants ${wanted}, and has ${show(issue.input)}`;
}

function wantedBy(issue: Issue): string | null {
  switch (issue.code) {
    case 'invalid_type':
      if (issue.expected === 'number' && typeof issue.input === 'number') return 'a finite number';
      return kindsOfValues[issue.expected] ?? `a ${issue.expected}`;
    case 'invalid_value':
      return issue.values
        .map(String)
        .join(', ')
        .replace(/, ([^,]*)$/, ' or $1');
    case 'too_small':
      return limited(issue.origin, 'at least', issue.inclusive === false ? 'more than' : 'at least', issue.minimum);
    case 'too_big':
      return limited(issue.origin, 'at most', issue.inclusive === false ? 'less than' : 'at most', issue.maximum);
    default:
      return null;
  }
}

function limited(origin: string, ofMany: string, ofNumber: string, limit: number | bigint): string {
  switch (origin) {
    case 'string':
      return limit === 1n || limit === 1 ? 'a text that is not empty' : `a text of ${ofMany} ${limit} letters`;
    case 'array':
      return `a list of ${ofMany} ${limit} ${Number(limit) === 1 ? 'entry' : 'entries'}`;
    case 'int':
      return `a whole number of ${ofNumber} ${limit}`;
    default:
      return `a number of ${ofNumber} ${limit}`.replace('of more than', 'above').replace('of less than', 'below');
  }
}

function show(value: unknown): string {
  if (value === null) return 'null';
  if (Array.isArray(value)) return value.length === 1 ? 'a list of 1 entry' : `a list of ${value.length} entries`;
  if (typeof value === 'object') return 'a map of keys';
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return text.length > 62 ? `${text.slice(0, 60)}…` : text;
}
