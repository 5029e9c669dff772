import { expect, test } from 'vitest';
import { Fault } from './fault.js';
import { convert, convertDifference, type Dimension, parseQuantity } from './quantity.js';

test('decimals, decimal commas, fractions and minus signs are read', () => {
  expect(parseQuantity('17 5/8 in')).toMatchObject({ value: 17.625, unit: 'in' });
  expect(parseQuantity('1/16 in').value).toBe(0.0625);
  expect(parseQuantity('3,5 bar').value).toBe(3.5);
  expect(parseQuantity('-25 C').value).toBe(-25);
  expect(parseQuantity('88 lbf·ft').unit).toBe('lbf ft');
});

test.each<[string, number, string]>([
  ['1 1/2 in', 1.5, 'in'],
  ['1-1/2 in', 1.5, 'in'],
  ['1½"', 1.5, 'in'],
  ['1 ½”', 1.5, 'in'],
  ['1 1⁄2″', 1.5, 'in'],
  ["3/4''", 0.75, 'in'],
  ['−½ in', -0.5, 'in'],
  ['.5 in', 0.5, 'in'],
  [',5 bar', 0.5, 'bar'],
  ['12 in.', 12, 'in'],
  ['45 ° F', 45, 'F'],
  ['45 ℉', 45, 'F'],
  ['88 ft·lb', 88, 'lbf ft'],
  ['88 ft ⋅ lb', 88, 'lbf ft'],
  ['88 ft.lb', 88, 'lbf ft'],
  ['88 LBS-FT', 88, 'lbf ft'],
  ['88 foot-pounds', 88, 'lbf ft'],
  ['9 N.m', 9, 'N m'],
  ['9 N*m', 9, 'N m'],
  ['30 lb/in²', 30, 'psi'],
  ['90 cm³', 90, 'mL'],
  ['2 US quarts', 2, 'US qt'],
  ['2600 min-1', 2600, 'rpm'],
  ['2600 1/min', 2600, 'rpm'],
])('%j is read as %d %s', (text, value, unit) => {
  expect(parseQuantity(text)).toMatchObject({ value, unit });
});

test.each([
  ['1,234 psi', 'Write 1234 psi or 1.234 psi.'],
  ['-12,500 mm', 'Write -12500 mm or -12.500 mm.'],
])('%j may be thousands as well, so it is asked about', (text, remedy) => {
  expect(() => parseQuantity(text)).toThrow(
    expect.objectContaining({ message: expect.stringContaining('two ways'), remedy }),
  );
});

test.each(['0,125 in', '1234,567 mm', '1.234 mm', '12,5 mm', '12,34 mm'])('%j has one reading only', (text) => {
  expect(parseQuantity(text).value).toBe(Number(text.replace(/ .*/, '').replace(',', '.')));
});

test.each(['1 234 mm', '1,234,567 mm', '1.234,5 mm', "1'234 mm", '12 ,5 mm', '5.8.2 mm'])(
  '%j is more numbers than one, and what is said is about them and not about a unit',
  (text) => {
    expect(() => parseQuantity(text)).toThrow(/more numbers than one/);
  },
);

test('a bare number takes the unit that the form shows', () => {
  expect(parseQuantity('12', 'length', 'mm')).toMatchObject({ value: 12, unit: 'mm' });
  expect(() => parseQuantity('12', 'length')).toThrow(/unit is missing/);
});

test.each(['1/0 in', 'ten mm', '', 'NaN mm', '1e9 mm', '7 furlongs'])('%j is refused', (text) => {
  expect(() => parseQuantity(text)).toThrow();
});

test('a unit of another quantity is refused and names units that would do', () => {
  expect(() => parseQuantity('7 psi', 'length')).toThrow(/psi measures pressure/);
});

test('what cannot be read is answered with an example of the unit that is wanted, one that can be read', () => {
  const remedyOf = (text: string, dimension?: Dimension, unit?: string) => {
    try {
      parseQuantity(text, dimension, unit);
    } catch (fault) {
      return fault instanceof Fault ? (fault.remedy ?? '') : '';
    }
    return '';
  };
  expect(remedyOf('twelve', 'voltage')).toBe('Write it such as 12.6 V.');
  expect(remedyOf('twelve', undefined, 'V')).toBe('Write it such as 12.6 V.');
  expect(remedyOf('12', 'voltage')).toBe('Write a unit behind the number, such as 12.6 V.');
  expect(remedyOf('twelve')).toContain('10 mm');
  const wanted: readonly Dimension[] = [
    'length',
    'torque',
    'pressure',
    'volume',
    'mass',
    'force',
    'temperature',
    'voltage',
    'time',
    'ratio',
    'count',
    'speed',
    'angle',
    'specific-gravity',
  ];
  for (const dimension of wanted) {
    const examples = /^Write it such as (.*)\.$/.exec(remedyOf('some', dimension))?.[1]?.split(' or ') ?? [];
    expect(examples.length, dimension).toBeGreaterThan(0);
    for (const example of examples) expect(parseQuantity(example).dimension, example).toBe(dimension);
  }
});

// Source: NIST SP 811 (2008) App. B.8, temperature rules and factors.
test('temperatures convert with offset, differences of temperature without', () => {
  expect(convert(parseQuantity('98.6 F'), 'C')).toBeCloseTo(37, 10);
  expect(convert(parseQuantity('-40 C'), 'F')).toBeCloseTo(-40, 10);
  expect(convertDifference(parseQuantity('1 C'), 'F')).toBeCloseTo(1.8, 10);
});
