import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { addDays, parseDay } from '../../src/domain/day.js';
import type { Night } from '../../src/domain/night.js';
import { firstFrosts, frostQuantile, lastFrosts, meanAndSpread } from '../../src/forecast/frost.js';

// Figures computed apart from this project from NOAA's daily minima of Seattle, 2012 to 2015 (vega-datasets 3.2.1,
// seattle-weather.csv, BSD-3-Clause), by the definitions of NOAA/NCEI freeze probabilities: a night at or below the
// threshold, days counted from 1 August. Four seasons check the arithmetic; they are no climate value (WMO: 30 years).
const season = z.object({ season: z.number(), date: z.string(), days_since_1_aug: z.number() });
const figures = z.object({
  first_autumn: z.array(season),
  mean_days: z.number(),
  sd_days_ddof1: z.number(),
  normal_quantiles: z.record(z.string(), z.number()),
  empirical_type7: z.record(z.string(), z.number()),
  last_spring: z.array(z.object({ date: z.string() })),
});
const published = z
  .object({ days_with_tmin_le_0: z.number(), records: z.number(), results: z.record(z.string(), figures) })
  .parse(JSON.parse(readFileSync(new URL('data/frost.json', import.meta.url), 'utf8')));

const weather = new URL('../../node_modules/vega-datasets/data/seattle-weather.csv', import.meta.url);
const rows = z
  .array(z.object({ date: z.string(), temp_min: z.coerce.number() }))
  .parse(parse(readFileSync(weather), { columns: true }));
const nights: readonly Night[] = rows.map(({ date, temp_min }) => ({ day: parseDay(date), celsius: temp_min }));

test('the data are those that the figures were computed from', () => {
  expect(nights).toHaveLength(published.records);
  expect(nights.filter(({ celsius }) => celsius <= 0)).toHaveLength(published.days_with_tmin_le_0);
});

describe.each(Object.entries(published.results))('frost at %s', (name, expected) => {
  const threshold = Number(/_(-?[\d.]+)C$/.exec(name)?.[1]);
  const first = firstFrosts(nights, 'north', threshold);

  test('comes first on the published day of each season, and the half season at the start does not count', () => {
    expect(first.map(({ day, sinceSummer }) => [day, sinceSummer])).toEqual(
      expected.first_autumn.map((one) => [one.date, one.days_since_1_aug]),
    );
  });

  test('comes last on the published day of each spring', () => {
    expect(lastFrosts(nights, 'north', threshold).map(({ day }) => day)).toEqual(
      expected.last_spring.map(({ date }) => date),
    );
  });

  test('has the published mean, spread and quantiles', () => {
    const { mean, spread } = meanAndSpread(first);
    expect(mean).toBeCloseTo(expected.mean_days, 9);
    expect(spread).toBeCloseTo(expected.sd_days_ddof1, 9);
    // Standard normal quantile at 0.9. Source: Abramowitz and Stegun, table 26.5: 1.28155.
    expect(mean - 1.281552 * spread).toBeCloseTo(expected.normal_quantiles['0.1'] ?? Number.NaN, 3);
    for (const [p, days] of Object.entries(expected.empirical_type7)) {
      expect(frostQuantile(first, Number(p))).toBeCloseTo(days, 9);
    }
  });

  test('falls on the same distance from summer where the same weather happens half a year apart, in the south', () => {
    const south = nights.map((night) => ({ ...night, day: addDays(night.day, -181) }));
    const days = firstFrosts(south, 'south', threshold).map(({ sinceSummer }) => sinceSummer);
    const expectedDays = expected.first_autumn.map((one) => one.days_since_1_aug);
    expect(days).toHaveLength(expectedDays.length);
    // 1 August is 181 days after 1 February, or 182 in leap years.
    for (const [i, day] of days.entries()) expect(Math.abs(day - (expectedDays[i] ?? 0))).toBeLessThanOrEqual(1);
  });
});
