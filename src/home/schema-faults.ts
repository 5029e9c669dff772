import type { z } from 'zod';
import { closestName, didYouMean } from '../domain/closest-name.js';
import { Fault } from '../domain/fault.js';
import { kindsOfValues } from '../domain/value-kinds.js';
import type { KeyPath, YamlFile } from './read-yaml.js';
import { describedAt } from './schema-words.js';
import { slipOfKey, slipOfValue } from './value-slips.js';
import { knownKeys } from './yaml-map.js';

export type SchemaRead<T> = { kind: 'value'; value: T } | { kind: 'faults'; faults: Fault[] };

/** A file's values as the schema's output, or every fault with its place.
 *  @param base  path in the file at which `value` stands; absent: the whole file */
export function readBySchema<Schema extends z.ZodType>(
  schema: Schema,
  yaml: YamlFile,
  value: unknown = yaml.value,
  base: KeyPath = [],
): SchemaRead<z.output<Schema>> {
  const result = schema.safeParse(value);
  if (result.success) return { kind: 'value', value: result.data };
  const issues = result.error.issues.flatMap(chooseBranch);
  return { kind: 'faults', faults: issues.flatMap((issue) => sayIssue(issue, { schema, yaml, value, base, issues })) };
}

interface Context {
  readonly schema: z.ZodType;
  readonly yaml: YamlFile;
  readonly value: unknown;
  readonly base: KeyPath;
  readonly issues: readonly z.core.$ZodIssue[];
}

/** Of the alternatives of a union, the one that was meant: its outermost shape fits, and the fewest things in it are wrong. */
function chooseBranch(issue: z.core.$ZodIssue): z.core.$ZodIssue[] {
  if (issue.code !== 'invalid_union') return [issue];
  const fitting = issue.errors
    .map((branch) => branch.flatMap((inner) => chooseBranch(inner)))
    .filter((branch) => branch.length > 0 && !branch.some(isAboutTheWhole))
    .sort((a, b) => a.length - b.length);
  const best = fitting[0];
  return best === undefined
    ? [issue]
    : best.map((inner) => ({ ...inner, path: [...issue.path, ...inner.path] }) as z.core.$ZodIssue);
}

function isAboutTheWhole(issue: z.core.$ZodIssue): boolean {
  return issue.path.length === 0 && ['invalid_type', 'invalid_value', 'invalid_union'].includes(issue.code);
}

function sayIssue(issue: z.core.$ZodIssue, context: Context): Fault[] {
  const { yaml, base, schema } = context;
  const path = plainPath(issue.path);
  const place = yaml.place([...base, ...path]);
  const value = valueAt(context.value, path);
  const words = describedAt(schema, path);
  const key = nameOf(path);
  const fault = (code: string, message: string, remedy: string | null, found = show(value)) => [
    new Fault({ code, message, place, found, remedy: remedy ?? undefined, retry: 'after-fix' }),
  ];
  if (issue.code === 'unrecognized_keys') return issue.keys.map((unknown) => sayUnknownKey(unknown, issue, context));
  if (value === undefined) return sayMissing(path, words, context);
  switch (issue.code) {
    case 'invalid_type':
      if (issue.expected === 'number' && typeof value === 'number') {
        return fault('value-out-of-range', `${key} must be a finite number`, words);
      }
      if (issue.expected === 'int') return fault('value-out-of-range', `${key} must be a whole number`, words);
      return sayOtherKind(issue, value, path, place, words, context);
    case 'invalid_value': {
      const allowed = issue.values.map(String);
      return fault('value-not-allowed', `${key} must be ${orList(allowed)}`, nearOf(value, allowed));
    }
    case 'invalid_union': {
      const options = 'options' in issue && Array.isArray(issue.options) ? issue.options.map(String) : [];
      if (options.length > 0)
        return fault('value-not-allowed', `${key} must be ${orList(options)}`, nearOf(value, options));
      return fault('value-type', `${key} cannot be ${kindOf(value)}`, words);
    }
    case 'too_small':
    case 'too_big':
      return fault('value-out-of-range', `${key} must be ${sayLimit(issue)}`, words);
    case 'invalid_key':
      return [
        new Fault({
          code: 'value-shape',
          message: 'This key does not have the shape of an id',
          place: yaml.place([...base, ...path.slice(0, -1)], String(path[path.length - 1] ?? '')),
          found: show(path[path.length - 1]),
          remedy: 'Use lower-case letters, digits and dashes, such as engine-oil.',
          retry: 'after-fix',
        }),
      ];
    case 'custom': {
      const { code, found, remedy } = customOf(issue.params);
      return fault(code ?? 'value-shape', issue.message, remedy ?? words, found ?? show(value));
    }
    default:
      return fault('value-shape', `${key} does not have the right shape`, words);
  }
}

/** A value of another kind than is wanted: as the schema words it, or as the slip that it most likely is. */
function sayOtherKind(
  issue: Extract<z.core.$ZodIssue, { code: 'invalid_type' }>,
  value: unknown,
  path: KeyPath,
  place: string,
  words: string | null,
  { yaml, base }: Context,
): Fault[] {
  const slip = slipOfValue(issue.expected, value, [...base, ...path], yaml);
  // A scalar may say for itself what it is no instance of.
  const own = issue.message.startsWith('Invalid input') ? null : issue.message;
  const hint = inQuotes(issue.expected, value, words);
  return [
    new Fault({
      code: 'value-type',
      message:
        slip?.message ?? (value === null ? null : own) ?? `${nameOf(path)} must be ${kindWanted(issue.expected)}`,
      place,
      found: slip?.found ?? show(value),
      remedy: [slip?.remedy ?? '', slip?.message === undefined ? (hint ?? '') : ''].join(' ').trim() || undefined,
      retry: 'after-fix',
    }),
  ];
}

function sayUnknownKey(
  unknown: string,
  issue: Extract<z.core.$ZodIssue, { code: 'unrecognized_keys' }>,
  { yaml, base }: Context,
): Fault {
  const path = plainPath(issue.path);
  const isSecret = closestName(unknown, ['password', 'passwd', 'secret', 'token']) !== null;
  const known = knownKeys(issue.message);
  const slip = slipOfKey(unknown, known, [...base, ...path], yaml);
  if (slip !== null && !isSecret) {
    return new Fault({
      code: slip.code ?? 'key-unknown',
      message: slip.message ?? 'Nothing reads this key',
      place: slip.place ?? yaml.place([...base, ...path], unknown),
      found: slip.found ?? `"${unknown.slice(0, 60)}"`,
      remedy: slip.remedy,
      retry: 'after-fix',
    });
  }
  return new Fault({
    code: isSecret ? 'secret-inline' : 'key-unknown',
    message: isSecret ? 'A secret does not belong in this file' : 'Nothing reads this key',
    place: yaml.place([...base, ...path], unknown),
    found: `"${unknown.slice(0, 60)}"`,
    remedy: isSecret
      ? 'Write passwordFile: with the name of a file that holds it, or passwordEnv: with the name of an environment variable.'
      : didYouMean(unknown, known),
    retry: 'after-fix',
  });
}

/** A missing key, unless an unknown key beside it was most likely meant to be it: then one fault says enough. */
function sayMissing(path: KeyPath, words: string | null, { yaml, base, issues }: Context): Fault[] {
  const parent = path.slice(0, -1);
  const key = String(path[path.length - 1] ?? '');
  const explained = issues.some(
    (issue) =>
      issue.code === 'unrecognized_keys' &&
      issue.path.join(' ') === parent.join(' ') &&
      issue.keys.some((unknown) => didYouMean(unknown, knownKeys(issue.message)) === `Did you mean "${key}"?`),
  );
  if (explained) return [];
  return [
    new Fault({
      code: 'key-missing',
      message: `The key ${key}: is missing`,
      place: yaml.place([...base, ...parent]),
      remedy: words ?? `Write ${key}: here.`,
      retry: 'after-fix',
    }),
  ];
}

/** Shows a value on one line, shortened. */
function show(value: unknown): string {
  if (value === undefined || value === null || typeof value === 'object') return kindOf(value);
  const text = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return text.length > 62 ? `${text.slice(0, 60)}…` : text;
}

function plainPath(path: readonly PropertyKey[]): (string | number)[] {
  return path.map((step) => (typeof step === 'number' ? step : String(step)));
}

function valueAt(value: unknown, path: KeyPath): unknown {
  let at = value;
  for (const step of path) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, step)) return undefined;
    at = Reflect.get(at, step);
  }
  return at;
}

function nameOf(path: KeyPath): string {
  const last = path[path.length - 1];
  if (last === undefined) return 'This file';
  if (typeof last === 'string') return last;
  const list = path.findLast((step) => typeof step === 'string');
  return list === undefined ? 'This entry' : `An entry of ${list}`;
}

function kindWanted(expected: string): string {
  return kindsOfValues[expected] ?? expected;
}

function kindOf(value: unknown): string {
  if (value === null || value === undefined) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  return kindsOfValues[typeof value] ?? typeof value;
}

function inQuotes(expected: string, value: unknown, words: string | null): string | null {
  const isBare = typeof value === 'number' || typeof value === 'boolean';
  const hint = expected === 'string' && isBare ? 'If the number is meant as text, put it in quotes.' : null;
  return words === null ? hint : words;
}

function nearOf(value: unknown, allowed: readonly string[]): string | null {
  if (typeof value !== 'string') return null;
  const near = didYouMean(value, allowed);
  return near.startsWith('Did') ? near : null;
}

function orList(words: readonly string[]): string {
  const last = words[words.length - 1] ?? '';
  return words.length < 2 ? last : `${words.slice(0, -1).join(', ')} or ${last}`;
}

function sayLimit(issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig): string {
  const [limit, side] =
    issue.code === 'too_small'
      ? [issue.minimum, issue.inclusive === false ? 'more than' : 'at least']
      : [issue.maximum, issue.inclusive === false ? 'less than' : 'at most'];
  if (issue.origin === 'string') return limit === 1 ? 'not empty' : `${side} ${limit} letters long`;
  if (issue.origin === 'array')
    return limit === 1 ? 'a list with at least one entry' : `a list of ${side} ${limit} entries`;
  return `${side} ${limit}`;
}

function customOf(params: Record<string, unknown> | undefined): { code?: string; found?: string; remedy?: string } {
  const text = (key: string) => (typeof params?.[key] === 'string' ? { [key]: params[key] } : {});
  return { ...text('code'), ...text('found'), ...text('remedy') };
}
