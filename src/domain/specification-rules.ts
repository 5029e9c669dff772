import { type Breach, under } from './breach.js';
import { Fault } from './fault.js';
import { convert, convertDifference, type Dimension, parseQuantity, type Quantity, unitNamed } from './quantity.js';
import type { Specification } from './specification.js';
import type { Measurement } from './task.js';

type Key =
  | 'min'
  | 'max'
  | 'nominal'
  | 'tolerance'
  | 'value'
  | 'longest'
  | 'aim'
  | 'resolution'
  | 'adjustTo'
  | 'belowColdest';

/** What is wrong with a measurement: quantities that cannot be read, units of different quantities, limits upside down,
 *  an aim outside its range, a table that does not rise. Paths name the keys as they stand side by side in a plan.
 *  @returns  empty where nothing is wrong
 *  Source: common practice, no source. */
export function checkMeasurement(measurement: Measurement): Breach[] {
  const { specification, aim, resolution } = measurement;
  const breaches = checkSpecification(specification);
  const wanted = limitOf(specification);
  const aimed = aim === undefined ? null : read(breaches, 'aim', aim, wanted?.dimension);
  if (aimed !== null && specification.kind === 'range') {
    for (const [key, outside] of [
      ['min', (limit: number) => aimed.value < limit],
      ['max', (limit: number) => aimed.value > limit],
    ] as const) {
      const limit = quietly(specification[key], aimed.dimension);
      if (limit !== null && outside(convert(limit, aimed.unit))) {
        breaches.push({
          code: 'aim-outside-range',
          message: `The aim lies outside its own range (${key}: ${specification[key]})`,
          found: aim ?? '',
          remedy: `Write an aim between ${specification.min} and ${specification.max}.`,
          path: ['aim'],
        });
      }
    }
  }
  if (resolution !== undefined) {
    const step = read(breaches, 'resolution', resolution, wanted?.dimension);
    if (step !== null && step.value <= 0) {
      breaches.push({
        code: 'quantity-not-positive',
        message: 'The smallest step of an instrument is more than 0',
        found: resolution,
        remedy: 'Write it such as 1 mm or 1/16 in.',
        path: ['resolution'],
      });
    }
  }
  return breaches;
}

/** What is wrong with a specification by itself.
 *  @returns  empty where nothing is wrong
 *  Source: common practice, no source. */
export function checkSpecification(specification: Specification): Breach[] {
  const breaches: Breach[] = [];
  switch (specification.kind) {
    case 'range':
      checkLimits(breaches, specification.min, specification.max, convert);
      if (specification.belowColdest !== undefined) {
        checkBelowColdest(breaches, specification.belowColdest, quietly(specification.max));
      }
      break;
    case 'atLeast':
      read(breaches, 'min', specification.min);
      break;
    case 'atMost': {
      const max = read(breaches, 'max', specification.max);
      if (specification.belowColdest !== undefined) checkBelowColdest(breaches, specification.belowColdest, max);
      break;
    }
    case 'nominal': {
      const nominal = read(breaches, 'nominal', specification.nominal);
      // A share of the nominal value has a unit of its own.
      const isShare = quietly(specification.tolerance, 'ratio') !== null;
      const tolerance = read(breaches, 'tolerance', specification.tolerance, isShare ? undefined : nominal?.dimension);
      if (tolerance !== null && tolerance.value < 0) {
        breaches.push({
          code: 'quantity-negative',
          message: 'A tolerance is how far either way, so it is not below 0',
          found: specification.tolerance,
          remedy: 'Write it without the minus sign.',
          path: ['tolerance'],
        });
      }
      break;
    }
    case 'difference':
      checkLimits(breaches, specification.min, specification.max, convertDifference);
      if (specification.min === undefined && specification.max === undefined) {
        breaches.push({
          code: 'limit-missing',
          message: 'A difference needs a limit',
          remedy: 'Write min, max or both, such as max: 3 mm.',
          path: [],
        });
      }
      break;
    case 'lookup':
      breaches.push(...checkLookup(specification));
      break;
    case 'setTo':
      read(breaches, 'value', specification.value);
      break;
    case 'adjustThen':
      checkLimits(breaches, specification.min, specification.max, convert);
      break;
    case 'test':
      if (specification.longest !== undefined) {
        const longest = read(breaches, 'longest', specification.longest, 'time');
        if (longest !== null && longest.value <= 0) {
          breaches.push({
            code: 'quantity-not-positive',
            message: 'The longest time is more than 0',
            found: specification.longest,
            remedy: 'Write it such as 1 s.',
            path: ['longest'],
          });
        }
      }
      break;
    case 'level':
    case 'look':
      break;
  }
  return breaches;
}

function checkLimits(
  breaches: Breach[],
  min: string | undefined,
  max: string | undefined,
  into: typeof convert | typeof convertDifference,
): void {
  const low = min === undefined ? null : read(breaches, 'min', min);
  const high = max === undefined ? null : read(breaches, 'max', max, low?.dimension);
  if (low === null || high === null || low.dimension !== high.dimension) return;
  if (into(low, high.unit) > high.value) {
    breaches.push({
      code: 'limits-upside-down',
      message: `The smallest value allowed (${min}) is larger than the largest`,
      found: max ?? '',
      remedy: 'Exchange min and max.',
      path: ['max'],
    });
  }
}

function checkBelowColdest(breaches: Breach[], text: string, max: Quantity | null): void {
  const margin = read(breaches, 'belowColdest', text, 'temperature');
  if (margin !== null && margin.value < 0) {
    breaches.push({
      code: 'quantity-negative',
      message: 'The limit lies below the coldest night by this much, so it is not below 0',
      found: text,
      remedy: 'Write it without the minus sign, such as 8 C.',
      path: ['belowColdest'],
    });
  }
  if (max !== null && max.dimension !== 'temperature') {
    breaches.push({
      code: 'unit-of-another-quantity',
      message: `Only a temperature can follow the coldest night, and ${max.unit} measures ${max.dimension}`,
      found: text,
      remedy: 'Take belowColdest out, or write max as a temperature such as -26 C.',
      path: ['belowColdest'],
    });
  }
}

function checkLookup(specification: Extract<Specification, { kind: 'lookup' }>): Breach[] {
  const breaches: Breach[] = [];
  try {
    unitNamed(specification.unit);
  } catch (fault) {
    breaches.push(breachOf(fault, ['unit']));
  }
  if (specification.points.length < 2) {
    breaches.push({
      code: 'lookup-too-short',
      message: 'A table needs two points or more',
      found: String(specification.points.length),
      remedy: 'Write points such as [[12.0 V, 25], [12.4 V, 75]].',
      path: ['points'],
    });
  }
  let before: Quantity | null = null;
  specification.points.forEach(([text], index) => {
    const inner: Breach[] = [];
    const point = read(inner, 'value', text, before?.dimension);
    breaches.push(...under(['points', index], inner).map((breach) => ({ ...breach, path: breach.path.slice(0, 2) })));
    if (point !== null && before !== null && convert(before, point.unit) >= point.value) {
      breaches.push({
        code: 'lookup-not-rising',
        message: 'The readings of a table rise from point to point',
        found: text,
        remedy: 'Sort the points by their first value and leave repeated ones out.',
        path: ['points', index],
      });
    }
    before = point ?? before;
  });
  if (specification.min !== undefined && specification.max !== undefined && specification.min > specification.max) {
    breaches.push({
      code: 'limits-upside-down',
      message: `The smallest value allowed (${specification.min}) is larger than the largest`,
      found: String(specification.max),
      remedy: 'Exchange min and max.',
      path: ['max'],
    });
  }
  return breaches;
}

/** The limit whose quantity an aim or an instrument's step must share. */
function limitOf(specification: Specification): Quantity | null {
  switch (specification.kind) {
    case 'range':
    case 'atLeast':
    case 'adjustThen':
      return quietly(specification.min);
    case 'atMost':
      return quietly(specification.max);
    case 'nominal':
      return quietly(specification.nominal);
    case 'difference':
      return quietly(specification.min ?? specification.max ?? '');
    case 'lookup':
      return quietly(specification.points[0]?.[0] ?? '');
    case 'setTo':
      return quietly(specification.value);
    case 'test':
      return specification.longest === undefined ? null : quietly(specification.longest);
    case 'level':
    case 'look':
      return null;
  }
}

function read(breaches: Breach[], key: Key, text: string, dimension?: Dimension): Quantity | null {
  try {
    return parseQuantity(text, dimension);
  } catch (fault) {
    breaches.push(breachOf(fault, [key]));
    return null;
  }
}

function quietly(text: string, dimension?: Dimension): Quantity | null {
  return read([], 'value', text, dimension);
}

function breachOf(fault: unknown, path: readonly (string | number)[]): Breach {
  if (!(fault instanceof Fault)) throw fault;
  return {
    code: fault.code,
    message: fault.message,
    ...(fault.found === undefined ? {} : { found: fault.found }),
    remedy: fault.remedy ?? '',
    path,
  };
}
