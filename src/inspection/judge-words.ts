import { Fault } from '../domain/fault.js';
import { convert, convertDifference, parseQuantity } from '../domain/quantity.js';
import type { Verdict, VerdictKind } from '../domain/results/verdict.js';
import { levelEntries, lookEntries, type Specification, testEntries } from '../domain/specification.js';
import { inspectionFault } from './errors.js';
import { sayLimits, sayNumber } from './say-limits.js';
import { verdictOf } from './verdict-of.js';

type Of<K extends Specification['kind']> = Extract<Specification, { readonly kind: K }>;

const levels: Readonly<Record<(typeof levelEntries)[number], VerdictKind>> = {
  'between the marks': 'in',
  'below the lower mark': 'out',
  'above the upper mark': 'out',
};

/** A fluid level between two marks.
 *  @param found  one of `levelEntries`, an amount topped up behind a comma ("below the lower mark, 0.2 L")
 *  @returns  value: litres topped up, 0 where none is told, so that a slow loss shows across visits
 *  @throws   Fault finding-unreadable, quantity-negative and those of parseQuantity
 *  Source: common practice, no source. */
export function judgeLevel(specification: Of<'level'>, found: string): Verdict {
  const [words = '', ...amount] = found.split(/, /);
  const entry = entryAmong(levelEntries, words);
  const value = amount.length === 0 ? 0 : convert(parseQuantity(amount.join(', '), 'volume', 'L'), 'L');
  if (value < 0) {
    throw new Fault({
      code: 'quantity-negative',
      message: 'What was topped up is not below 0',
      found: JSON.stringify(amount.join(', ').slice(0, 60)),
      remedy: 'Write it without the minus sign, such as 0.2 L.',
    });
  }
  const verdict = levels[entry];
  const topped = value === 0 ? '' : `; ${sayNumber(value)} L topped up`;
  return {
    value,
    unit: 'L',
    verdict,
    text: `The level stood ${entry}${topped} (wanted: ${sayLimits(specification)}).`,
  };
}

const looks: Readonly<Record<(typeof lookEntries)[number], VerdictKind>> = {
  sound: 'in',
  dry: 'in',
  damp: 'too close to call',
  dripping: 'out',
  'not sound': 'out',
};
const worstFirst: readonly VerdictKind[] = ['out', 'too close to call', 'in'];

/** A look at one place or several; the worst place decides. Damp is to be watched: too close to call.
 *  @param found  one of `lookEntries` for each place, at least one
 *  @returns  value 1 where all is sound, else 0, without unit
 *  @throws   Fault finding-unreadable
 *  Source: common practice, no source. */
export function judgeLook(specification: Of<'look'>, found: readonly string[]): Verdict {
  const entries = found.map((word) => entryAmong(lookEntries, word));
  const verdict = worstFirst.find((kind) => entries.some((entry) => looks[entry] === kind));
  if (verdict === undefined) throw unreadable('', lookEntries);
  const worst = entries.filter((entry) => looks[entry] === verdict);
  const said = [...new Set(worst)].join(' and ');
  const where = entries.length === 1 ? '' : ` at ${worst.length} of ${entries.length} places`;
  const text =
    verdict === 'in'
      ? `All ${said} (wanted: ${sayLimits(specification)}).`
      : `Found ${said}${where} (wanted: ${sayLimits(specification)})${verdict === 'out' ? '.' : ': watch it.'}`;
  return { value: verdict === 'in' ? 1 : 0, unit: '', verdict, text };
}

/** A test that is passed or failed, or a time against its longest.
 *  @param found       `passed`, `failed`, or the time taken where the test has a longest one
 *  @param resolution  of the watch; a time within half a step of the longest is too close to call
 *  @returns  value: the time in the unit of `longest`, or 1 for passed and 0 for failed, without unit
 *  @throws   Fault finding-unreadable, longest-not-positive, resolution-not-positive and those of parseQuantity
 *  Source: JCGM 106:2012 clause 8.3.3 for times; otherwise common practice, no source. */
export function judgeTest(specification: Of<'test'>, found: string, resolution?: string): Verdict {
  const stop = specification.stopUse === true ? ' Do not use it until it is mended.' : '';
  const plain = found.trim().toLowerCase();
  const word = testEntries.find((entry) => entry === plain);
  if (word !== undefined) {
    const passed = word === 'passed';
    const text = `${passed ? 'Passed' : 'Failed'}: ${sayLimits(specification)}.${passed ? '' : stop}`;
    return { value: passed ? 1 : 0, unit: '', verdict: passed ? 'in' : 'out', text };
  }
  if (specification.longest === undefined) throw unreadable(found, testEntries);
  const longest = parseQuantity(specification.longest, 'time');
  const time = convert(parseQuantity(found, 'time', longest.unit), longest.unit);
  const step =
    resolution === undefined ? 0 : convertDifference(parseQuantity(resolution, 'time', longest.unit), longest.unit);
  if (time < 0 || longest.value <= 0 || (resolution !== undefined && step <= 0)) {
    throw inspectionFault({
      code: time < 0 ? 'finding-unreadable' : longest.value <= 0 ? 'longest-not-positive' : 'resolution-not-positive',
      message: 'Times and the steps of a watch are more than 0',
      found: JSON.stringify(time < 0 ? found : longest.value <= 0 ? specification.longest : resolution),
      remedy: 'Write it such as 0.8 s.',
    });
  }
  const limits = { unit: longest.unit, dimension: longest.dimension, min: null, max: longest.value };
  const verdict = verdictOf(time, limits, step / 2);
  const took = `${sayNumber(time)} ${longest.unit}`;
  const texts: Readonly<Record<VerdictKind, string>> = {
    in: `Passed in ${took} (${sayLimits(specification)}).`,
    out: `Failed: ${took} is too long (${sayLimits(specification)}).${stop}`,
    'too close to call': `${took}: as read, it ${time <= longest.value ? 'meets' : 'misses'} the limit (${sayLimits(specification)}), but that is too close to call.`,
  };
  return { value: time, unit: longest.unit, verdict, text: texts[verdict] };
}

function entryAmong<T extends string>(entries: readonly T[], found: string): T {
  const plain = found.trim().toLowerCase();
  const entry = entries.find((candidate) => candidate === plain);
  if (entry === undefined) throw unreadable(found, entries);
  return entry;
}

function unreadable(found: string, entries: readonly string[]): Fault {
  return inspectionFault({
    code: 'finding-unreadable',
    message: 'This is not one of the entries for this finding',
    found: JSON.stringify(found.slice(0, 60)),
    remedy: `Write ${entries.join(', ')}.`,
  });
}
