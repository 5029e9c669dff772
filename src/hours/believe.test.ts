import { describe, expect, test } from 'vitest';
import { atDay, someFacts, someMachine } from '../../tests/stage/small-machine.js';
import type { MachineFacts } from '../domain/facts.js';
import { believeReading } from './believe.js';
import { meantBy } from './slips.js';

const facts = someFacts([
  ['2030-04-10', 120.4],
  ['2030-06-08', 127.9],
  ['2030-08-03', 134.2],
  ['2030-10-05', 139.6],
]);
const now = atDay('2030-11-20');
const mower = someMachine([]);

function judge(hours: number, over: { facts?: MachineFacts; at?: number } = {}) {
  return believeReading(mower, over.facts ?? facts, 'north', { hours, atMs: over.at ?? now }, now);
}
function codeOf(hours: number, over: { facts?: MachineFacts; at?: number } = {}): string {
  const belief = judge(hours, over);
  return belief.kind === 'refused' ? belief.fault.code : belief.kind;
}

describe('a reading', () => {
  test('in the usual range counts', () => {
    expect(judge(142.5).kind).toBe('believed');
  });

  test('below the last one is refused and names the last one', () => {
    const belief = judge(138);
    expect(belief).toMatchObject({ kind: 'refused', fault: { code: 'reading-below-last' } });
    expect(belief.kind === 'refused' && belief.fault.line).toContain('139.6 h on 2030-10-05');
  });

  test('entered late, above the one that follows it, is refused', () => {
    expect(codeOf(131, { at: atDay('2030-05-10') })).toBe('reading-above-later');
    expect(codeOf(124, { at: atDay('2030-05-10') })).toBe('believed');
  });

  test('of more than 24 h a day is refused, but not for rounding', () => {
    const at = atDay('2030-10-06');
    expect(codeOf(139.6 + 24.1, { at })).not.toBe('reading-too-fast');
    expect(codeOf(139.6 + 24.3, { at })).toBe('reading-too-fast');
  });

  test.each([
    [Number.NaN, 'reading-not-a-number'],
    [Number.POSITIVE_INFINITY, 'reading-not-a-number'],
    [-5, 'reading-negative'],
    [1e308, 'reading-too-large'],
    [1_000_001, 'reading-too-large'],
  ])('of %d is refused: %s', (hours, code) => {
    expect(codeOf(hours)).toBe(code);
  });

  test('from the future is refused, five minutes of clock are not', () => {
    expect(codeOf(142, { at: now + 6 * 60_000 })).toBe('reading-in-future');
    expect(codeOf(142, { at: now + 4 * 60_000 })).toBe('believed');
  });

  test('of a machine without history is believed when it is sane', () => {
    expect(codeOf(9000, { facts: someFacts([]) })).toBe('believed');
  });

  test('for a machine without a meter is refused', () => {
    const saw = someMachine([], { meter: { kind: 'none' } });
    expect(believeReading(saw, someFacts([]), 'north', { hours: 5, atMs: now }, now)).toMatchObject({
      fault: { code: 'reading-without-meter' },
    });
  });
});

describe('a jump far outside the forecast', () => {
  test('asks, and finds the missing decimal point', () => {
    expect(judge(1425, { at: now })).toMatchObject({ kind: 'refused' });
    const rarely = someFacts([
      ['2028-04-10', 120.4],
      ['2029-06-08', 127.9],
      ['2030-04-03', 134.2],
      ['2030-06-05', 139.6],
    ]);
    const belief = judge(1425, { facts: rarely });
    expect(belief).toMatchObject({ kind: 'questionable', suggestionHours: 142.5 });
    expect(belief.kind === 'questionable' && belief.question).toContain('Did you mean 142.5 h?');
  });

  test('finds a wrong or swapped digit', () => {
    expect(judge(241.5)).toMatchObject({ kind: 'questionable', suggestionHours: 141.5 });
    expect(judge(412.5)).toMatchObject({ kind: 'questionable', suggestionHours: 142.5 });
  });

  test('asks without a suggestion where no slip explains it', () => {
    expect(judge(600.5)).toMatchObject({ kind: 'questionable', suggestionHours: null });
  });
});

describe('slips of the hand', () => {
  const meant = (hours: number) => meantBy(hours).map((candidate) => candidate.hours);

  test('cover a lost point, swapped, doubled and lost digits, and one wrong digit', () => {
    expect(meant(1425)).toContain(142.5);
    expect(meant(124.5)).toContain(142.5);
    expect(meant(1442.5)).toContain(142.5);
    expect(meant(14.5)).toContain(144.5);
    expect(meant(192.5)).toContain(142.5);
  });

  test('never offer the number itself, nor one twice', () => {
    for (const hours of [0, 7, 100, 111.1, 1425, 99999.9]) {
      expect(meant(hours)).not.toContain(hours);
      expect(new Set(meant(hours)).size).toBe(meant(hours).length);
    }
  });
});
