import fc from 'fast-check';
import { expect, test } from 'vitest';
import { sayHours, sayHoursNow, sayReadHours, sayRunTime } from './hours.js';

test('hours are whole from a hundred on and have one decimal below', () => {
  expect([386.2, 38.64, 50, 99.94, 99.96, 1281.4, 0].map(sayHours)).toEqual([
    '386 h',
    '38.6 h',
    '50 h',
    '99.9 h',
    '100 h',
    '1,281 h',
    '0 h',
  ]);
});

test('what a sensor has counted is seconds until it shows in tenths of an hour', () => {
  expect([0, 39.4, 359, 360, 45_000, 4_500_000].map(sayRunTime)).toEqual([
    '0 s',
    '39 s',
    '359 s',
    '0.1 h',
    '12.5 h',
    '1,250 h',
  ]);
});

test('a reading keeps the digits that were read', () => {
  expect(sayReadHours(386.25)).toBe('386.25 h');
});

test('hours now come with their doubt, and without tenths that the doubt makes idle', () => {
  expect(sayHoursNow({ p10: 379.4, p50: 386.2, p90: 394.1 })).toBe('about 386 h (379 to 394)');
  expect(sayHoursNow({ p10: 30.2, p50: 38.26, p90: 46 })).toBe('about 38 h (30 to 46)');
  expect(sayHoursNow({ p10: 38.1, p50: 38.26, p90: 38.9 })).toBe('about 38.3 h (38.1 to 38.9)');
  expect(sayHoursNow({ p10: 386.2, p50: 386.2, p90: 386.2 })).toBe('about 386 h');
  expect(sayHoursNow({ p10: 0.4, p50: 0.44, p90: 5.3 })).toBe('about 0.4 h (0.4 to 5)');
  expect(sayHoursNow({ p10: 0, p50: 0.96, p90: 5.3 })).toBe('about 1 h (0 to 5)');
});

test('said hours are within half a step of the truth', () => {
  fc.assert(
    fc.property(fc.double({ min: 0, max: 20_000, noNaN: true }), (hours) => {
      const said = Number(sayHours(hours).replace(' h', '').replace(',', ''));
      expect(Math.abs(said - hours)).toBeLessThanOrEqual(hours < 99.95 ? 0.0501 : 0.5001);
    }),
  );
});
