import { expect, test } from 'vitest';
import { judge } from '../inspection/judge.js';
import { sayLimits } from '../inspection/say-limits.js';
import { limitedByCold } from './coldest-limit.js';
import { checkMeasurement } from './specification-rules.js';
import type { Measurement } from './task.js';

const coolant: Measurement = {
  id: 'freezing-point',
  name: 'freezing point of the coolant',
  specification: { kind: 'atMost', max: '-26 C', belowColdest: '8 C' },
  resolution: '1 C',
};

const limitAt = (coldest: number | null, units: 'metric' | 'us' = 'metric') =>
  sayLimits(limitedByCold(coolant, coldest, units).specification);
const verdictAt = (coldest: number | null, found: string, units: 'metric' | 'us' = 'metric') =>
  judge(limitedByCold(coolant, coldest, units).specification, found, '1 C').verdict;

test('the limit lies the plan’s margin below the coldest night, and says which night that is', () => {
  expect(limitAt(-18)).toBe('protects to −26 °C or colder: your coldest night is −18 °C');
  expect(limitAt(-31)).toBe('protects to −39 °C or colder: your coldest night is −31 °C');
  expect(limitAt(6)).toBe('protects to −2 °C or colder: your coldest night is 6 °C');
});

// NIST SP 811 (2008) App. B.8: t/°F = 1.8 t/°C + 32; −18 °C is −0.4 °F, −26 °C is −14.8 °F.
test('in US units both are said in Fahrenheit, the limit to the whole degree on the cold side', () => {
  expect(limitAt(-18, 'us')).toBe('protects to −15 °F or colder: your coldest night is 0 °F');
  expect(limitAt(null, 'us')).toBe(
    'protects to −15 °F or colder: the plan’s own figure, because your coldest night is not known',
  );
});

test('without a known coldest night the plan’s figure stands, and says so', () => {
  expect(limitAt(null)).toBe(
    'protects to −26 °C or colder: the plan’s own figure, because your coldest night is not known',
  );
  expect(verdictAt(null, '-27 C')).toBe('in');
  expect(verdictAt(null, '-20 C')).toBe('out');
});

test('the same coolant is well in a mild place and weak in a cold one', () => {
  expect(verdictAt(-8, '-20 C')).toBe('in');
  expect(verdictAt(-25, '-20 C')).toBe('out');
  expect(verdictAt(-12, '-20 C')).toBe('too close to call');
  expect(verdictAt(-8, '-4', 'us')).toBe('in');
  expect(verdictAt(-8, '10', 'us')).toBe('out');
});

test('a coldest night between two degrees gives the colder limit', () => {
  expect(limitAt(-10.3)).toBe('protects to −19 °C or colder: your coldest night is −10 °C');
});

test('what does not follow the cold stays as it is', () => {
  const fixed: Measurement = { ...coolant, specification: { kind: 'atMost', max: '-26 C' } };
  expect(limitedByCold(fixed, -40, 'us')).toBe(fixed);
  const voltage: Measurement = { ...coolant, specification: { kind: 'atLeast', min: '12 V' } };
  expect(limitedByCold(voltage, -40, 'metric')).toBe(voltage);
});

test('a margin below 0, of another quantity, or beside a limit that is no temperature is refused', () => {
  const codes = (belowColdest: string, max = '-26 C') =>
    checkMeasurement({ ...coolant, specification: { kind: 'atMost', max, belowColdest } }).map(({ code, path }) => [
      code,
      path.join('.'),
    ]);
  expect(codes('8 C')).toEqual([]);
  expect(codes('14 F')).toEqual([]);
  expect(codes('-8 C')).toEqual([['quantity-negative', 'belowColdest']]);
  expect(codes('8 mm')).toEqual([['unit-of-another-quantity', 'belowColdest']]);
  expect(codes('8 C', '3 mm')).toContainEqual(['unit-of-another-quantity', 'belowColdest']);
});
