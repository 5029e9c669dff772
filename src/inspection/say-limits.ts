import { readLimits } from '../domain/limits.js';
import { parseQuantity } from '../domain/quantity.js';
import type { Specification } from '../domain/specification.js';

/** The limits in words, as they stand in the plan: "10 to 13 mm", "at least 12.4 V", "set to 60 N m, crosswise".
 *  @param specification  of any kind; both limits are said in their own unit where the units differ
 *  @throws Fault as readLimits
 *  Source: common practice, no source. */
export function sayLimits(specification: Specification): string {
  switch (specification.kind) {
    case 'range':
      return specification.belowColdest === undefined
        ? sayRange(specification.min, specification.max)
        : sayProtection(specification);
    case 'atLeast':
      return `at least ${specification.min}`;
    case 'atMost':
      return specification.belowColdest === undefined ? `at most ${specification.max}` : sayProtection(specification);
    case 'nominal':
      return `${specification.nominal} ± ${specification.tolerance}`;
    case 'difference':
      return `${specification.first ?? 'first'} minus ${specification.second ?? 'second'}${sayOpen(
        specification.min,
        specification.max,
      )}`;
    case 'lookup': {
      const limits = sayWanted(specification);
      const { unit } = readLimits(specification);
      const table = specification.points.map(([reading, value]) => `${reading} is ${sayNumber(value)} ${unit}`);
      return `${limits}${limits === '' ? '' : ' '}(${table.join(', ')})`;
    }
    case 'setTo':
      return `set to ${specification.value}${specification.pattern === undefined ? '' : `, ${specification.pattern}`}`;
    case 'adjustThen':
      return `set to ${specification.adjustTo}, then ${specification.then}, then check for ${sayRange(
        specification.min,
        specification.max,
      )}`;
    case 'level':
      return specification.looksWrong === undefined
        ? specification.marks
        : `${specification.marks}; looks wrong: ${specification.looksWrong}`;
    case 'look':
      return specification.normal === undefined
        ? specification.sound
        : `${specification.sound}; no fault: ${specification.normal}`;
    case 'test':
      return specification.longest === undefined
        ? specification.passes
        : `${specification.passes}, within ${specification.longest}`;
  }
}

/** The limits as a verdict repeats them: as `sayLimits`, but of a table only what is wanted, "at least 65 %"; empty where it sets none.
 *  @throws Fault as readLimits */
export function sayWanted(specification: Specification): string {
  if (specification.kind !== 'lookup') return sayLimits(specification);
  const { min, max, unit } = readLimits(specification);
  const limits = sayOpen(
    min === null ? undefined : `${sayNumber(min)} ${unit}`,
    max === null ? undefined : `${sayNumber(max)} ${unit}`,
  );
  return limits.replace(/^: /, '');
}

/** A number for people: at most five figures, no trailing zeros, never an exponent below 1e15.
 *  @param value  finite
 *  Source: common practice, no source. */
export function sayNumber(value: number): string {
  const rounded = Number(value.toPrecision(5));
  return Math.abs(rounded) < 1e-6
    ? '0'
    : rounded.toLocaleString('en-GB', { maximumFractionDigits: 6, useGrouping: false });
}

/** A limit that follows the cold, with the night that it follows, or that none is known. */
function sayProtection(specification: Extract<Specification, { kind: 'atMost' | 'range' }>): string {
  const { max, coldest } = specification;
  const because =
    coldest === undefined
      ? 'the plan’s own figure, because your coldest night is not known'
      : `your coldest night is ${sayDegrees(coldest)}`;
  if (specification.kind === 'atMost') return `protects to ${sayDegrees(max)} or colder: ${because}`;
  if (specification.wanted !== undefined) {
    const wanted = `and would want ${sayDegrees(specification.wanted)}`;
    return `protects to ${sayDegrees(max)}, the coldest that is allowed: ${because} ${wanted}`;
  }
  return `protects to ${sayDegrees(max)} or colder, but not past ${sayDegrees(specification.min)}: ${because}`;
}

/** `−26 °C` from `-26 C`. */
function sayDegrees(text: string): string {
  const { value, unit } = parseQuantity(text, 'temperature');
  return `${value < 0 ? '−' : ''}${sayNumber(Math.abs(value))} °${unit}`;
}

function sayRange(min: string, max: string): string {
  const low = parseQuantity(min);
  const high = parseQuantity(max);
  return low.unit === high.unit ? `${min.slice(0, unitStart(min)).trim()} to ${max}` : `${min} to ${max}`;
}

function sayOpen(min: string | undefined, max: string | undefined): string {
  if (min !== undefined && max !== undefined) return `: ${min} to ${max}`;
  if (min !== undefined) return `: at least ${min}`;
  return max === undefined ? '' : `: at most ${max}`;
}

/** Where the unit begins behind the number: after the last digit. */
function unitStart(text: string): number {
  const number = /^[+\-−]?[\d\s./,-]*\d/.exec(text.trim());
  return number === null ? text.length : number[0].length;
}
