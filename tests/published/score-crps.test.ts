import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { crps } from '../../src/rehearsal/scoring/score.js';

// Closed forms of the continuous ranked probability score: Jordan, Krüger and Lerch 2019 J. Stat. Softw. 90(12), table of closed-form
// expressions; Gneiting and Raftery 2007 J. Am. Stat. Assoc. 102:359-378. The second column of values was integrated numerically.
const rows = readFileSync(new URL('data/crps.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => {
    const [family = '', parameters = '', observation = '', value = ''] = line.split(',');
    return { family, parameters, truth: Number(observation), value: Number(value) };
  });
const of = (family: string) => rows.filter((row) => row.family === family);

test.each(of('empirical_edf'))(
  'the score of $parameters is exact when $truth comes true',
  ({ parameters, truth, value }) => {
    const quantiles = parameters
      .replace('members=', '')
      .split(' ')
      .map(Number)
      .sort((a, b) => a - b);
    const levels = quantiles.map((_, i) => (i + 0.5) / quantiles.length);
    expect(crps({ quantiles, truth }, levels)).toBeCloseTo(value, 12);
  },
);

test.each(of('exponential'))(
  'many quantiles of an exponential law give its closed form at $truth',
  ({ parameters, truth, value }) => {
    const rate = Number(parameters.replace('rate=', ''));
    const levels = Array.from({ length: 20_000 }, (_, i) => (i + 0.5) / 20_000);
    const quantiles = levels.map((level) => -Math.log(1 - level) / rate);
    expect(crps({ quantiles, truth }, levels)).toBeCloseTo(value, 4);
  },
);

test('the published table holds the rows that are checked', () => {
  expect(of('empirical_edf').length).toBeGreaterThan(4);
  expect(of('exponential').length).toBeGreaterThan(1);
});
