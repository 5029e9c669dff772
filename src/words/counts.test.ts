import fc from 'fast-check';
import { expect, test } from 'vitest';
import { joinAnd, sayCount, sayDecimal, sayNumber, sayOrdinal } from './counts.js';

test('one task is one task, and two are two tasks', () => {
  expect([0, 1, 2].map((count) => sayCount(count, 'task'))).toEqual(['0 tasks', '1 task', '2 tasks']);
});

test('small counts are words, larger ones digits', () => {
  expect([0, 1, 12, 13].map(sayNumber)).toEqual(['no', 'one', 'twelve', '13']);
});

test('decimals read as the Unicode locale data write English ones, with a real minus sign', () => {
  const published = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 2 });
  fc.assert(
    fc.property(fc.integer({ min: -1e8, max: 1e8 }), (hundredths) => {
      expect(sayDecimal(hundredths / 100, 2)).toBe(published.format(hundredths / 100).replace('-', '−'));
    }),
  );
});

test('what rounds to nothing has no sign', () => {
  expect(sayDecimal(-0.001, 2)).toBe('0');
});

test('NaN and infinity are never said', () => {
  for (const value of [Number.NaN, Number.POSITIVE_INFINITY]) expect(() => sayDecimal(value, 1)).toThrow(RangeError);
});

test('ordinals end as the Unicode plural rules say', () => {
  const rules = new Intl.PluralRules('en', { type: 'ordinal' });
  const endings: Record<string, string> = { one: 'st', two: 'nd', few: 'rd', other: 'th' };
  for (let day = 1; day <= 131; day += 1) expect(sayOrdinal(day)).toBe(`${day}${endings[rules.select(day)]}`);
});

test('lists join as the Unicode list patterns for British English do', () => {
  const published = new Intl.ListFormat('en-GB', { type: 'conjunction' });
  for (const list of [[], ['a'], ['a', 'b'], ['a', 'b', 'c'], ['a', 'b', 'c', 'd']]) {
    expect(joinAnd(list)).toBe(published.format(list));
  }
});
