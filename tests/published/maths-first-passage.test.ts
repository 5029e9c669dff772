import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { pSumAtLeast } from '../../src/maths/compound-poisson.js';
import { gammaP, gammaQ } from '../../src/maths/gamma-incomplete.js';
import { logGamma } from '../../src/maths/log-gamma.js';
import { firstReaching } from '../../src/maths/search.js';

type Row = Record<string, string>;
const rows = (name: string): Row[] =>
  parse(readFileSync(new URL(`./data/${name}`, import.meta.url)), { columns: true });
const number = (row: Row, key: string): number => Number(row[key]);
const ofKind = (name: string, kind: string) => rows(name).filter((row) => row.kind === kind);

describe('first passage of a gamma process', () => {
  // van Noortwijk 2009, Reliab. Eng. Syst. Saf. 94:2-21: P(T <= t) = Q(k t, L/theta); values by mpmath and scipy.
  test.each(ofKind('first-passage.csv', 'gamma_cdf'))(
    'threshold $threshold_L at rate $shape_rate_k_per_time, scale $scale_theta is reached by $t with the tabled chance',
    (row) => {
      const ours = gammaQ(
        number(row, 'shape_rate_k_per_time') * number(row, 't'),
        number(row, 'threshold_L') / number(row, 'scale_theta'),
      );
      expect(Math.abs(ours - number(row, 'value'))).toBeLessThan(1e-12);
    },
  );

  test.each(ofKind('first-passage.csv', 'gamma_quantile'))(
    'the time by which $threshold_L is reached with chance $p is as tabled ($shape_rate_k_per_time, $scale_theta)',
    (row) => {
      const [k, level, right] = [
        number(row, 'shape_rate_k_per_time'),
        number(row, 'threshold_L') / number(row, 'scale_theta'),
        number(row, 'value'),
      ];
      const ours = firstReaching((t) => gammaQ(k * t, level), number(row, 'p'), 0, right * 4, right * 1e-11);
      expect(Math.abs(ours - right) / right).toBeLessThan(1e-9);
    },
  );
});

describe('compound Poisson sums', () => {
  // Jørgensen 1987 JRSS B 49:127-162; Dunn and Smyth 2005 Stat. Comput. 15:267-280. The general series, written here, on our gamma function.
  const seriesBelow = (count: number, shape: number, scale: number, amount: number) => {
    let sum = Math.exp(-count);
    for (let n = 1; n < count + 12 * Math.sqrt(count) + 40; n += 1) {
      sum += Math.exp(n * Math.log(count) - count - logGamma(n + 1)) * gammaP(n * shape, amount / scale);
    }
    return sum;
  };

  test.each(rows('first-passage-compound.csv'))(
    'rain of $event_rate events a day fills $threshold_L by day $t with the tabled chance',
    (row) => {
      const count = number(row, 'event_rate') * number(row, 't');
      const ours =
        1 - seriesBelow(count, number(row, 'amount_shape'), number(row, 'amount_scale'), number(row, 'threshold_L'));
      expect(Math.abs(ours - number(row, 'P_T_le_t'))).toBeLessThan(1e-11);
    },
  );

  test.each(rows('tweedie-cdf.csv'))(
    'Tweedie power $p, mean $mu, dispersion $phi is below $y with the tabled chance',
    (row) => {
      const amount = number(row, 'y');
      const ours = seriesBelow(
        number(row, 'lambda_poisson'),
        number(row, 'gamma_shape'),
        number(row, 'gamma_scale'),
        amount,
      );
      expect(Math.abs(ours - number(row, 'cdf'))).toBeLessThan(1e-11);
    },
  );

  // Tweedie power 1.5 has exponential bursts: our law with phi = 2 × the burst's mean. Exact below 64 expected bursts.
  test.each(
    rows('tweedie-cdf.csv').filter((row) => Math.abs(number(row, 'gamma_shape') - 1) < 1e-9 && number(row, 'y') > 0),
  )('our law of use with $lambda_poisson bursts of $gamma_scale h agrees with the Tweedie table at $y h', (row) => {
    const scale = number(row, 'gamma_scale');
    const ours = 1 - pSumAtLeast(number(row, 'y'), number(row, 'lambda_poisson') * scale, 2 * scale);
    expect(Math.abs(ours - number(row, 'cdf'))).toBeLessThan(1e-9);
  });

  test('where many bursts are taken as a gamma law, it stays within 0.006 of the exact sum', () => {
    let worst = 0;
    for (const bursts of [16.5, 40, 65, 100, 300]) {
      for (let share = 0.2; share < 2.5; share += 0.05) {
        const amount = bursts * share;
        worst = Math.max(worst, Math.abs(pSumAtLeast(amount, bursts, 2) - (1 - seriesBelow(bursts, 1, 1, amount))));
      }
    }
    expect(worst).toBeLessThan(0.006);
  });
});
