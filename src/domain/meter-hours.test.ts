import fc from 'fast-check';
import { expect, test } from 'vitest';
import { meterHours } from './meter-hours.js';

test('every finite number is let through as it is', () => {
  fc.assert(
    fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (hours) => {
      expect(meterHours(hours)).toBe(hours);
    }),
  );
});

test.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])('%s is refused', (hours) => {
  expect(() => meterHours(hours)).toThrow(expect.objectContaining({ code: 'hours-not-finite' }));
});
