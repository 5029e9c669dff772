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

const mixed: Measurement = {
  ...coolant,
  aim: '-30 C',
  specification: { kind: 'range', min: '-45 C', max: '-26 C', belowColdest: '8 C' },
};
const rangeAt = (coldest: number | null, units: 'metric' | 'us' = 'metric') => limitedByCold(mixed, coldest, units);
const rangeVerdict = (coldest: number | null, found: string, units: 'metric' | 'us' = 'metric') =>
  judge(rangeAt(coldest, units).specification, found, '1 C').verdict;

test('the warm end of a range follows the cold and its cold end stays', () => {
  const said = (coldest: number | null, units: 'metric' | 'us' = 'metric') =>
    sayLimits(rangeAt(coldest, units).specification);
  expect(said(-18)).toBe('protects to −26 °C or colder, but not past −45 °C: your coldest night is −18 °C');
  expect(said(-30)).toBe('protects to −38 °C or colder, but not past −45 °C: your coldest night is −30 °C');
  // NIST SP 811 (2008) App. B.8: −45 °C is −49 °F, −14.8 °F lies on the cold side at −15 °F.
  expect(said(null, 'us')).toBe(
    'protects to −15 °F or colder, but not past −49 °F: the plan’s own figure, because your coldest night is not known',
  );
});

// ASHRAE Handbook-Fundamentals (2001), aqueous ethylene glycol, freezing points by mass: 30 % −14.1 °C, 44 % −26.4 °C, 50 % −33.8 °C, 56 % −42.6 °C, 60 % −48.3 °C.
test.each([
  [-4, '-14.1 C', 'in'],
  [-18, '-14.1 C', 'out'],
  [-18, '-33.8 C', 'in'],
  [-30, '-33.8 C', 'out'],
  [-30, '-42.6 C', 'in'],
  [-30, '-45 C', 'too close to call'],
  [-30, '-48.3 C', 'out'],
] as const)('at a coldest night of %s °C a mix that freezes at %s is %s', (coldest, found, verdict) => {
  expect(rangeVerdict(coldest, found)).toBe(verdict);
});

// SAE J300 (2015), Table 1: 10W oils are tried for cranking at −25 °C. A plan may hold that temperature against the cold as well.
test('the cold that an oil is tried at is judged by the coldest night in the same way', () => {
  const oil: Measurement = {
    ...coolant,
    specification: { kind: 'range', min: '-35 C', max: '-20 C', belowColdest: '0 C' },
  };
  const verdict = (coldest: number) =>
    judge(limitedByCold(oil, coldest, 'metric').specification, '-25 C', '1 C').verdict;
  expect(verdict(-20)).toBe('in');
  expect(verdict(-30)).toBe('out');
});

test('a bare number is read in the unit in which the range is said', () => {
  expect(rangeVerdict(-18, '-20', 'us')).toBe('in');
  expect(rangeVerdict(-18, '-20', 'metric')).toBe('out');
});

test('a night colder than the range allows for leaves no room, and the words say what it would want', () => {
  const { specification } = rangeAt(-40);
  expect(specification).toMatchObject({ min: '-45 C', max: '-45 C' });
  expect(sayLimits(specification)).toBe(
    'protects to −45 °C, the coldest that is allowed: your coldest night is −40 °C and would want −48 °C',
  );
  expect(rangeVerdict(-40, '-40 C')).toBe('out');
});

test('a value to aim for that would not protect here is not named', () => {
  expect(rangeAt(-18).aim).toBe('-30 C');
  expect(rangeAt(-25)).not.toHaveProperty('aim');
});

test('a range that follows the cold is checked as a limit is', () => {
  const codes = (belowColdest: string, min = '-45 C', max = '-26 C') =>
    checkMeasurement({ ...coolant, specification: { kind: 'range', min, max, belowColdest } }).map(({ code, path }) => [
      code,
      path.join('.'),
    ]);
  expect(codes('8 C')).toEqual([]);
  expect(codes('-8 C')).toEqual([['quantity-negative', 'belowColdest']]);
  expect(codes('8 bar')).toEqual([['unit-of-another-quantity', 'belowColdest']]);
  expect(codes('8 C', '1 mm', '3 mm')).toContainEqual(['unit-of-another-quantity', 'belowColdest']);
});
