import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { convert, convertDifference, parseQuantity } from '../../src/domain/quantity.js';

type Row = Record<string, string>;

/** Factors to the SI unit as exact fractions, and as NIST SP 811 (2008), Appendix B.8, prints them (seven digits, from memory).
 *  The fractions follow from 1 in = 25.4 mm, 1 lb = 0.45359237 kg (yard and pound of 1959), standard gravity 9.80665 m/s²
 *  and the US gallon of 231 cubic inches; each rounds to the printed value. */
const factors: Row[] = parse(readFileSync(new URL('./data/units.csv', import.meta.url)), { columns: true });

describe('units, against NIST SP 811 Appendix B.8', () => {
  test.each(factors)('one $unit is $printed_seven_digits $si', (row) => {
    const exact = Number(row.numerator) / Number(row.denominator);
    const ours = convert(parseQuantity(`1 ${row.ours}`), row.to ?? '') / Number(row.to_per_si);
    expect(Math.abs(ours / exact - 1)).toBeLessThan(4e-16);
    expect(Math.abs(ours / Number(row.printed_seven_digits) - 1)).toBeLessThan(5.1e-7);
  });

  test.each(factors)('from $si back to $unit nothing is lost', (row) => {
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (value) => {
        const there = convert({ ...parseQuantity(`1 ${row.ours}`), value }, row.to ?? '');
        const back = convert({ ...parseQuantity(`1 ${row.to}`), value: there }, row.ours ?? '');
        expect(Math.abs(back - value)).toBeLessThanOrEqual(Math.abs(value) * 1e-15 + 1e-300);
      }),
    );
  });

  // Prefixes. Source: SI brochure, 9th edition, table 7; 1 cm3 = 1 mL, section 4 table 8 (litre).
  test.each([
    ['1 cm', 'mm', 10],
    ['1 m', 'mm', 1000],
    ['1 MPa', 'kPa', 1000],
    ['1 bar', 'MPa', 0.1],
    ['1 mL', 'L', 0.001],
    ['1 cm3', 'mL', 1],
    ['1 g', 'kg', 0.001],
    ['1 mV', 'V', 0.001],
    ['1 h', 's', 3600],
    ['1 min', 's', 60],
  ])('%s is %s: %d', (text, to, right) => {
    expect(convert(parseQuantity(text), to)).toBe(right);
  });
});

describe('temperatures, against NIST SP 811 Appendix B.9: t(C) = (t(F) - 32) / 1.8', () => {
  // Fixed points of the two scales; body temperature and the rest by the rule.
  test.each([
    [-40, -40],
    [0, 32],
    [100, 212],
    [37, 98.6],
    [-160 / 9, 0],
    [-37.5, -35.5],
  ])('%d C is %d F', (celsius, fahrenheit) => {
    const c = { value: celsius, unit: 'C', dimension: 'temperature' } as const;
    const f = { value: fahrenheit, unit: 'F', dimension: 'temperature' } as const;
    expect(convert(c, 'F')).toBeCloseTo(fahrenheit, 12);
    expect(convert(f, 'C')).toBeCloseTo(celsius, 12);
  });

  test('a difference of one degree Celsius is one of 1.8 degrees Fahrenheit: no offset', () => {
    expect(convertDifference(parseQuantity('1 C'), 'F')).toBeCloseTo(1.8, 12);
    expect(convertDifference(parseQuantity('9 F'), 'C')).toBeCloseTo(5, 12);
  });
});

// Settings that a manual prints in one unit and a tool shows in another; factors of NIST SP 811 Appendix B.8, the figures themselves
// common practice, no source.
describe('settings read in another unit', () => {
  test.each([
    ['110 lbf ft', 'N m', 149.1],
    ['88 lbf ft', 'N m', 119.3],
    ['17 psi', 'kPa', 117.2],
    ['14 psi', 'kPa', 96.5],
  ])('%s in %s is %d', (text, to, right) => {
    expect(convert(parseQuantity(text), to)).toBeCloseTo(right, 1);
  });

  test('3.1 US qt are 2.93 L', () => {
    expect(convert(parseQuantity('3.1 US qt'), 'L')).toBeCloseTo(2.93, 2);
  });
});
