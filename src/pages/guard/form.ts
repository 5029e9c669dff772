import { randomUUID } from 'node:crypto';
import type { Request } from 'express';
import { z } from 'zod';
import { type Day, parseDay } from '../../domain/day.js';
import { pageFault } from '../errors.js';

/** Longest text that a person may type into a note. */
export const longestNote = 2000;

/** Longest text of one field: the steps of a long job. */
const longestText = 20_000;

const fields = z.record(
  z.string().max(200),
  z.union([z.string().max(longestText), z.array(z.string().max(200)).max(200)]),
);
const keyShape = z.string().regex(/^[A-Za-z0-9_-]{8,64}$/);

/** A form as it was sent, every field read strictly. */
export interface Form {
  /** Says which form this was: sent twice, it counts once. */
  readonly key: string;
  /** The trimmed text of a field; empty where it is missing. */
  text(name: string): string;
  /** The same, or null where it is empty or missing. */
  optional(name: string): string | null;
  /** All values of a field that may be ticked several times. */
  all(name: string): readonly string[];
  has(name: string): boolean;
  /** Every field with its text, in the order of the form, without the key and the step: to be sent once more. */
  entries(): readonly (readonly [string, string])[];
  /** @throws Fault day-unreadable where the field is neither empty nor a day */
  day(name: string): Day | null;
}

/** The key of a new form. */
export function newFormKey(): string {
  return randomUUID();
}

/** Reads the body of a POST.
 *  @throws Fault form-unreadable, form-without-key */
export function readForm(request: Request): Form {
  const parsed = fields.safeParse({ ...(request.body ?? {}) });
  if (!parsed.success) {
    throw pageFault({
      code: 'form-unreadable',
      message: 'This form could not be read',
      remedy: 'Go back, open the page again and send it once more.',
    });
  }
  const body = new Map(Object.entries(parsed.data));
  const key = keyShape.safeParse(body.get('key'));
  if (!key.success) {
    throw pageFault({
      code: 'form-without-key',
      message: 'This form came without its key, so nothing was changed',
      remedy: 'Open the page here and send it again.',
    });
  }
  const text = (name: string): string => {
    const value = body.get(name);
    return (typeof value === 'string' ? value : (value?.[0] ?? '')).trim();
  };
  return {
    key: key.data,
    text,
    optional: (name) => (text(name) === '' ? null : text(name)),
    all: (name) => {
      const value = body.get(name);
      return value === undefined ? [] : typeof value === 'string' ? [value] : value;
    },
    has: (name) => body.has(name),
    entries: () =>
      [...body]
        .filter(([name]) => name !== 'key' && name !== 'step')
        .flatMap(([name, value]) => (typeof value === 'string' ? [value] : value).map((text) => [name, text] as const)),
    day: (name) => (text(name) === '' ? null : parseDay(text(name))),
  };
}
