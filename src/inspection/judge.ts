import { Fault } from '../domain/fault.js';
import { type Limits, type MeasuredSpecification, readLimits } from '../domain/limits.js';
import { convert, convertDifference, type Dimension, parseQuantity, type Quantity } from '../domain/quantity.js';
import type { Verdict } from '../domain/results/verdict.js';
import type { Specification } from '../domain/specification.js';
import { inspectionFault } from './errors.js';
import { judgeLevel, judgeLook, judgeTest } from './judge-words.js';
import { lookUp } from './lookup.js';
import { sayNumber, sayWanted } from './say-limits.js';
import { isWithin, verdictOf } from './verdict-of.js';

export { sayLimits } from './say-limits.js';

/** Whether findings of this kind get a verdict: all but `setTo`, whose finding is whether it still turned. */
export function hasVerdict(specification: Specification): boolean {
  return specification.kind !== 'setTo';
}

/** How a finding stands against its specification. A value at least half an instrument step from the nearest limit
 *  (a whole step for a difference) is `in` or `out`, a nearer one `too close to call`; without a step, on the limit is in.
 *  @param specification  of any kind but `setTo`
 *  @param found          text as typed: a quantity (bare numbers take the specification's unit; what no instrument shows below
 *                        zero is refused there, unless a limit lies below zero too); for a `difference` two;
 *                        for `level`, `look` and `test` one of the entries that domain/specification.ts lists, for a
 *                        `look` one a place; for a `test` with a longest time also the time taken
 *  @param resolution     the instrument's smallest step, quantity text > 0, or absent
 *  @returns  value in the unit of `min`, else `max`, else `nominal`; lookups in the table's unit; looks and tests
 *            1 for good and 0 for not, without unit; levels the litres topped up
 *  @throws   Fault specification-without-verdict, finding-unreadable, quantity-negative, resolution-not-positive, and those of
 *            readLimits, lookUp and parseQuantity
 *  Source: JCGM 106:2012 clause 8.3.3, guard band of half a step (JCGM 100:2008 F.2.2.1). */
export function judge(specification: Specification, found: string | readonly string[], resolution?: string): Verdict {
  switch (specification.kind) {
    case 'setTo':
      throw inspectionFault({
        code: 'specification-without-verdict',
        message: 'A value to set has no verdict; the finding is whether it still turned',
        remedy: 'Write "turned" or "did not turn".',
      });
    case 'level':
      return judgeLevel(specification, single(found));
    case 'look':
      return judgeLook(specification, typeof found === 'string' ? [found] : found);
    case 'test':
      return judgeTest(specification, single(found), resolution);
    default:
      return judgeNumber(specification, found, resolution);
  }
}

function judgeNumber(
  specification: MeasuredSpecification,
  found: string | readonly string[],
  resolution: string | undefined,
): Verdict {
  const limits = readLimits(specification);
  const measured = measure(specification, limits, found, resolution);
  const verdict = verdictOf(measured.value, limits, measured.guard, measured.scale);
  const inItsUnit = `${sayMeasured(specification, measured.value)} ${measured.unit}`;
  const reads = measured.typed === null ? inItsUnit : `${measured.typed} (${inItsUnit})`;
  const text = sayVerdict(specification, limits, measured, reads, resolution, verdict);
  return { value: measured.value, unit: measured.unit, verdict, text };
}

/** Between two points of a table a tenth is more than anybody knows. */
function sayMeasured({ kind }: MeasuredSpecification, value: number): string {
  return sayNumber(kind === 'lookup' ? Math.round(value * 10) / 10 : value);
}

interface Measured {
  readonly value: number;
  readonly unit: string;
  readonly guard: number;
  readonly scale: number;
  /** As a person wrote it, where that was in another unit; else null. */
  readonly typed: string | null;
}

/** What a direct reading of it is never below zero. Lengths are not among them (a toe, a step down), nor is what has two poles.
 *  Common practice, no source. */
const neverBelowZero: readonly (Dimension | null)[] = [
  'torque',
  'pressure',
  'volume',
  'mass',
  'force',
  'time',
  'ratio',
  'count',
  'speed',
  'specific-gravity',
];

/** A minus sign that slipped in would pass below any largest value. A vacuum has a limit below zero. */
function refuseNegative({ value, unit, dimension }: Quantity, limits: Limits): void {
  const allows = Math.min(limits.min ?? 0, limits.max ?? 0) < 0;
  if (value >= 0 || allows || !neverBelowZero.includes(dimension)) return;
  throw new Fault({
    code: 'quantity-negative',
    message: `A ${dimension} is not below 0 here`,
    found: `${sayNumber(value)} ${unit}`,
    remedy: 'Write it without the minus sign. If it can be below 0, the plan needs a limit below 0.',
  });
}

function measure(
  specification: MeasuredSpecification,
  limits: Limits,
  found: string | readonly string[],
  resolution: string | undefined,
): Measured {
  if (resolution !== undefined && parseQuantity(resolution, undefined, limits.unit || undefined).value <= 0) {
    throw inspectionFault({
      code: 'resolution-not-positive',
      message: 'The smallest step of an instrument is more than 0',
      found: JSON.stringify(resolution),
      remedy: 'Write it such as 1 mm, or leave it out.',
    });
  }
  if (specification.kind === 'lookup') {
    const { value, stepValue } = lookUp(specification, single(found), resolution);
    return { value, unit: limits.unit, guard: stepValue / 2, scale: 0, typed: null };
  }
  if (specification.kind === 'difference') {
    const [first, second] = pair(found);
    const lead = limits.unit === '' ? parseQuantity(first) : null;
    const unit = lead?.unit ?? limits.unit;
    const dimension = lead?.dimension ?? limits.dimension ?? undefined;
    const a = convert(parseQuantity(first, dimension, unit), unit);
    const b = convert(parseQuantity(second, dimension, unit), unit);
    return {
      value: a - b,
      unit,
      guard: stepIn(resolution, unit),
      scale: Math.max(Math.abs(a), Math.abs(b)),
      typed: null,
    };
  }
  const text = single(found);
  const read = parseQuantity(text, limits.dimension ?? undefined, limits.unit);
  refuseNegative(read, limits);
  const value = convert(read, limits.unit);
  const typed = read.unit === limits.unit ? null : text.trim().replace(/\s+/g, ' ');
  return { value, unit: limits.unit, guard: stepIn(resolution, limits.unit) / 2, scale: 0, typed };
}

function stepIn(resolution: string | undefined, unit: string): number {
  if (resolution === undefined) return 0;
  const zero = parseQuantity(`0 ${unit}`);
  return convertDifference(parseQuantity(resolution, zero.dimension, unit), unit);
}

function sayVerdict(
  specification: MeasuredSpecification,
  limits: Limits,
  measured: Measured,
  reads: string,
  resolution: string | undefined,
  verdict: Verdict['verdict'],
): string {
  if (limits.min === null && limits.max === null) return `${reads}; no limit is set for it.`;
  const wanted = sayWanted(specification);
  if (verdict === 'in') return `${reads} is in (${wanted}).`;
  if (verdict === 'too close to call') {
    const meets = isWithin(measured.value, limits, measured.scale) ? 'it meets the limit' : 'it misses the limit';
    return `${reads}: as read, ${meets} (${wanted}), but with steps of ${resolution ?? 'the instrument'} that is too close to call.`;
  }
  const low = limits.min !== null && measured.value < limits.min;
  const off = low ? (limits.min ?? 0) - measured.value : measured.value - (limits.max ?? 0);
  return `${reads} is out: ${sayMeasured(specification, off)} ${measured.unit} ${low ? 'too little' : 'too much'} (${wanted}).`;
}

function single(found: string | readonly string[]): string {
  if (typeof found === 'string') return found;
  const [only, more] = found;
  if (only === undefined || more !== undefined) {
    throw inspectionFault({
      code: 'finding-unreadable',
      message: 'One value is wanted here',
      found: `${found.length} values`,
      remedy: 'Enter one value.',
    });
  }
  return only;
}

function pair(found: string | readonly string[]): readonly [string, string] {
  const [first, second, more] = typeof found === 'string' ? [found] : found;
  if (first === undefined || second === undefined || more !== undefined) {
    throw inspectionFault({
      code: 'finding-unreadable',
      message: 'A difference needs two values, the first minus the second',
      found: typeof found === 'string' ? JSON.stringify(found.slice(0, 60)) : `${found.length} values`,
      remedy: 'Enter both values; in one field with a semicolon between them, such as 742 mm; 740 mm.',
    });
  }
  return [first, second];
}
