import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { dayMs } from '../../src/domain/day.js';
import { crossings } from '../../src/forecast/crossing.js';
import { hoursQuantiles, pReached } from '../../src/hours/at.js';
import type { HoursEstimate } from '../../src/hours/estimate.js';
import { arrangeEvidence } from '../../src/hours/evidence.js';
import { settingsFor } from '../../src/hours/settings.js';
import { layTimeline } from '../../src/hours/timeline.js';

type Row = Record<string, string>;
const rows = (name: string): Row[] =>
  parse(readFileSync(new URL(`./data/${name}`, import.meta.url)), { columns: true });
const number = (row: Row, key: string): number => Number(row[key]);

const atMs = Date.UTC(2031, 0, 1);
const firstHours = 500;

/** An estimate whose rate is known: nothing is left to doubt but when the bursts come. */
function knownRate(hoursPerDay: number, phi: number): HoursEstimate {
  const evidence = arrangeEvidence({
    readings: [{ atMs, hours: firstHours, about: false }],
    changes: [],
    runs: [],
    coverage: [],
    notUsed: [],
    meterRatioKnown: false,
    meterCounts: 'engine-speed',
    expect: { season: 'even' },
    hemisphere: 'north',
  });
  const timeline = layTimeline(evidence, atMs);
  const [setting] = settingsFor({ season: 'even' }, true);
  if (timeline === null || setting === undefined) throw new Error('no timeline');
  const mean = timeline.edges.slice(timeline.pastCells).map((days) => hoursPerDay * days);
  const course = { mean, relativeVariance: new Float64Array(mean.length) };
  return {
    timeline,
    ratio: { mean: 1, sd: 0, windows: 0 },
    beliefs: [{ weight: 1, setting, phi, pastRate: new Float64Array(0), course }],
    pWordWrong: null,
    pHoursWrong: null,
    contradictions: [],
  };
}
const daysLater = (days: number) => atMs + days * dayMs;

// van Noortwijk 2009, Reliab. Eng. Syst. Saf. 94:2-21: P(T <= t) = Q(k t, L/θ); values by mpmath and scipy. Our law of use is the gamma
// process wherever more than 64 bursts (2 k t) are expected; below that it has a chance of no use, which a gamma process lacks.
const isGamma = (row: Row, t: number) => 2 * number(row, 'shape_rate_k_per_time') * t > 64;
const ofKind = (kind: string, time: string) =>
  rows('first-passage.csv').filter((row) => row.kind === kind && isGamma(row, number(row, time)));

describe('a machine whose rate is known reaches its hours as the tabled gamma process does', () => {
  test.each(ofKind('gamma_cdf', 't'))(
    '$threshold_L h by day $t, shape rate $shape_rate_k_per_time, scale $scale_theta',
    (row) => {
      const [k, theta] = [number(row, 'shape_rate_k_per_time'), number(row, 'scale_theta')];
      const p = pReached(
        knownRate(k * theta, theta),
        firstHours + number(row, 'threshold_L'),
        daysLater(number(row, 't')),
      );
      expect(Math.abs(p - number(row, 'value'))).toBeLessThan(1e-10);
    },
  );

  test.each(ofKind('gamma_quantile', 'value'))(
    'the day of $threshold_L h with chance $p, shape rate $shape_rate_k_per_time, scale $scale_theta',
    (row) => {
      const [k, theta] = [number(row, 'shape_rate_k_per_time'), number(row, 'scale_theta')];
      const target = firstHours + number(row, 'threshold_L');
      const [found] = crossings(knownRate(k * theta, theta), target, [number(row, 'p')], daysLater(3000), 1000);
      expect(Math.abs(((found ?? 0) - atMs) / dayMs - number(row, 'value'))).toBeLessThan(1e-4);
    },
  );

  test('the tables hold rows where the law is the gamma process', () => {
    expect(ofKind('gamma_cdf', 't').length).toBeGreaterThan(8);
    expect(ofKind('gamma_quantile', 'value').length).toBeGreaterThan(8);
  });
});

// Dunn and Smyth 2005, Stat. Comput. 15:267-280: Tweedie power 1.5 with gamma shape 1 is a Poisson number of exponential bursts.
const bursts = rows('tweedie-cdf.csv').filter(
  (row) => Math.abs(number(row, 'gamma_shape') - 1) < 1e-9 && number(row, 'lambda_poisson') < 64,
);

describe('a machine whose rate is known stands where the tabled compound Poisson sum does', () => {
  // A day's use is bounded by the clock, the table's is not: the bursts are spread over a year.
  const days = 365;
  const estimateOf = (row: Row) => {
    const scale = number(row, 'gamma_scale');
    return knownRate((number(row, 'lambda_poisson') * scale) / days, 2 * scale);
  };

  test.each(bursts.filter((row) => number(row, 'y') > 0))(
    'below $y h, with $lambda_poisson bursts of $gamma_scale h',
    (row) => {
      const p = pReached(estimateOf(row), firstHours + number(row, 'y'), daysLater(days));
      expect(Math.abs(1 - p - number(row, 'cdf'))).toBeLessThan(1e-9);
    },
  );

  test.each(bursts.filter((row) => number(row, 'y') === 0))(
    'still at the reading with chance $cdf, with $lambda_poisson bursts of $gamma_scale h',
    (row) => {
      const none = number(row, 'cdf');
      const [inside, beyond] = hoursQuantiles(estimateOf(row), daysLater(days), [
        none * 0.99,
        Math.min(0.999, none * 1.2),
      ]);
      expect(inside).toBe(firstHours);
      expect(beyond).toBeGreaterThan(firstHours);
    },
  );

  test('the table holds both', () => {
    expect(bursts.filter((row) => number(row, 'y') === 0).length).toBeGreaterThan(0);
    expect(bursts.filter((row) => number(row, 'y') > 0).length).toBeGreaterThan(3);
  });
});
