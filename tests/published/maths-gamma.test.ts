import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { gammaP, gammaQ } from '../../src/maths/gamma-incomplete.js';

type Row = Record<string, string>;
const rows = (name: string): Row[] =>
  parse(readFileSync(new URL(`./data/${name}`, import.meta.url)), { columns: true });
const number = (row: Row, key: string): number => Number(row[key]);

// Relative error against 60-digit values. Below 1e-290 doubles run out of digits.
const relative = (ours: number, right: number) =>
  Math.abs(right) < 1e-290 ? Math.abs(ours) : Math.abs(ours - right) / right;

describe('the regularised incomplete gamma function', () => {
  // Values: 60-digit series and continued fraction (mpmath), formulas DLMF 8.2.4, 8.7.1, 8.9.2; agreed with two other libraries to 2e-14.
  test.each(rows('gamma-incomplete.csv'))('P and Q of a = $a, x = $x are right to twelve digits', (row) => {
    const [a, x] = [number(row, 'a'), number(row, 'x')];
    expect(relative(gammaP(a, x), number(row, 'P_mpmath'))).toBeLessThan(1e-12);
    expect(relative(gammaQ(a, x), number(row, 'Q_mpmath'))).toBeLessThan(a > 1e4 ? 1e-10 : 1e-11);
  });

  // Abramowitz and Stegun 1964, Table 26.8, upper quantiles of chi-square as printed (values from memory, recomputed).
  test.each(rows('gamma-printed-checks.csv').filter((row) => row.kind === 'chi2_upper_quantile'))(
    'chi-square with $param degrees of freedom at $p_or_x is as printed, $printed_value_from_memory',
    (row) => {
      const half = number(row, 'param') / 2;
      const level = number(row, 'p_or_x');
      expect(relative(gammaQ(half, number(row, 'recomputed_17sig') / 2), level)).toBeLessThan(1e-12);
      expect(relative(gammaQ(half, number(row, 'printed_value_from_memory') / 2), level)).toBeLessThan(2e-4);
    },
  );

  // DLMF 8.4.1 and 8.4.7 to 8.4.9: closed forms for half and whole shapes (formulas from memory, recomputed).
  test.each(rows('gamma-printed-checks.csv').filter((row) => row.kind === 'identity'))(
    '$printed_value_from_memory',
    (row) => {
      const [a, x] = [number(row, 'param'), number(row, 'p_or_x')];
      // The table gives P in each row, also where the identity is written for Q.
      expect(relative(gammaP(a, x), number(row, 'recomputed_17sig'))).toBeLessThan(1e-14);
    },
  );
});
