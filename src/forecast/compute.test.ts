import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayMs } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { computeForecast, type ForecastCase } from './compute.js';

const start = Date.UTC(2030, 0, 10);
const levels = [0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975];

function aCase(over: Partial<ForecastCase> = {}): ForecastCase {
  const readings = [0, 3, 4, 18, 40, 41, 47, 90].map((rise, i) => ({
    atMs: start + i * 61 * dayMs,
    hours: 180 + rise,
  }));
  return {
    nowMs: start + 450 * dayMs,
    targetHours: 300,
    readings,
    expect: { season: 'unknown' },
    hemisphere: 'north',
    runs: [],
    coverage: [],
    meters: [],
    notUsedSinceMs: null,
    levels,
    probeDays: [0, 7, 30, 90, 180, 365, 548],
    ...over,
  };
}

const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (fault) {
    if (fault instanceof Fault) return fault.code;
    throw fault;
  }
  return 'none';
};

/** Histories of 1 to 12 readings, at least a week apart, at most 6 h a day. */
const histories = fc
  .array(fc.record({ days: fc.integer({ min: 7, max: 200 }), hours: fc.integer({ min: 0, max: 400 }) }), {
    minLength: 0,
    maxLength: 11,
  })
  .map((steps) => {
    const readings = [{ atMs: start, hours: 100 }];
    for (const { days, hours } of steps) {
      const last = readings.at(-1) ?? { atMs: start, hours: 100 };
      readings.push({
        atMs: last.atMs + days * dayMs,
        hours: Math.round(10 * (last.hours + Math.min(hours / 10, days * 6))) / 10,
      });
    }
    return readings;
  });
const cases = fc
  .record({ readings: histories, ageDays: fc.integer({ min: 0, max: 400 }), ahead: fc.integer({ min: 1, max: 300 }) })
  .map(({ readings, ageDays, ahead }) => {
    const last = readings.at(-1) ?? { atMs: start, hours: 100 };
    return aCase({ readings, nowMs: last.atMs + ageDays * dayMs, targetHours: last.hours + ahead });
  });
const few = { numRuns: 25 };

describe('a forecast', () => {
  test('widens with the age of the last reading, and a fresh one narrows it', () => {
    const width = (one: ForecastCase) => {
      const { hoursNow } = computeForecast(one);
      return (hoursNow[5] ?? 0) - (hoursNow[1] ?? 0);
    };
    const soon = width(aCase({ nowMs: start + 435 * dayMs }));
    const later = width(aCase({ nowMs: start + 520 * dayMs }));
    expect(soon).toBeLessThan(later);
    const fresh = [...aCase().readings, { atMs: start + 519 * dayMs, hours: 284 }];
    expect(width(aCase({ readings: fresh, nowMs: start + 520 * dayMs }))).toBeLessThan(later / 3);
  });

  test('never holds NaN, never falls with the days, and its quantiles ascend', () => {
    fc.assert(
      fc.property(cases, (one) => {
        const { hoursNow, dueDays, dueWithin } = computeForecast(one);
        for (const value of [...hoursNow, ...dueWithin]) expect(Number.isFinite(value)).toBe(true);
        const ascends = (values: readonly number[]) =>
          values.every((value, i) => i === 0 || value >= (values[i - 1] ?? 0) - 1e-9);
        expect(ascends(hoursNow) && ascends(dueWithin)).toBe(true);
        expect(ascends(dueDays.map((days) => days ?? 1e9))).toBe(true);
        expect(hoursNow[0] ?? 0).toBeGreaterThanOrEqual(one.readings.at(-1)?.hours ?? 0);
      }),
      few,
    );
  });

  test('a farther target is never likelier', () => {
    fc.assert(
      fc.property(cases, fc.integer({ min: 1, max: 200 }), (one, farther) => {
        const near = computeForecast(one).dueWithin;
        const far = computeForecast({ ...one, targetHours: one.targetHours + farther }).dueWithin;
        far.forEach((p, i) => {
          expect(p).toBeLessThanOrEqual((near[i] ?? 0) + 1e-6);
        });
      }),
      few,
    );
  });

  test('does not care in which order readings are given', () => {
    fc.assert(
      fc.property(cases, (one) => {
        expect(computeForecast({ ...one, readings: [...one.readings].reverse() })).toEqual(computeForecast(one));
      }),
      few,
    );
  });

  test('is the same four years later', () => {
    const shift = 1461 * dayMs;
    fc.assert(
      fc.property(cases, (one) => {
        const moved = computeForecast({
          ...one,
          nowMs: one.nowMs + shift,
          readings: one.readings.map((r) => ({ ...r, atMs: r.atMs + shift })),
        });
        moved.dueWithin.forEach((p, i) => {
          expect(p).toBeCloseTo(computeForecast(one).dueWithin[i] ?? 0, 6);
        });
      }),
      few,
    );
  });

  test('is the same half a year later on the other half of the earth', () => {
    const shift = (365.25 / 2) * dayMs;
    const one = aCase({ expect: { season: 'summer' } });
    const south = {
      ...one,
      hemisphere: 'south' as const,
      nowMs: one.nowMs + shift,
      readings: one.readings.map((r) => ({ ...r, atMs: r.atMs + shift })),
    };
    const ours = computeForecast(one).dueWithin;
    computeForecast(south).dueWithin.forEach((p, i) => {
      expect(p).toBeCloseTo(ours[i] ?? 0, 6);
    });
  });

  test('says 1 and the newest reading where the target is already passed', () => {
    const { dueDays, dueWithin } = computeForecast(aCase({ targetHours: 250 }));
    expect(dueWithin).toEqual([1, 1, 1, 1, 1, 1, 1]);
    expect(dueDays[3]).toBeCloseTo((start + 7 * 61 * dayMs - aCase().nowMs) / dayMs, 6);
  });

  test('answers null for a target ten thousand hours away', () => {
    expect(computeForecast(aCase({ targetHours: 10_000 })).dueDays).toEqual(levels.map(() => null));
  });

  test('a season word moves the use into the season', () => {
    const atNewYear = {
      readings: [{ atMs: Date.UTC(2030, 11, 1), hours: 50 }],
      nowMs: Date.UTC(2030, 11, 10),
      targetHours: 70,
      probeDays: [90],
    };
    const within = (season: 'summer' | 'winter') =>
      computeForecast(aCase({ ...atNewYear, expect: { season, hoursPerYear: 80 } })).dueWithin[0] ?? 0;
    expect(within('winter')).toBeGreaterThan(2 * within('summer'));
  });
});

describe('evidence beyond readings', () => {
  const day = (n: number) => start + n * dayMs;

  test('a meter that was replaced changes nothing but the numbers on it', () => {
    const plain = aCase();
    const swapped = aCase({
      meters: [{ atMs: day(200), lastHours: 199, firstHours: 0 }],
      readings: plain.readings.map((r) =>
        r.atMs > day(200) ? { ...r, hours: Math.round((r.hours - 199) * 10) / 10 } : r,
      ),
      targetHours: plain.targetHours - 199,
    });
    const same = aCase({ readings: [...plain.readings, { atMs: day(200), hours: 199 }] });
    const [ours, right] = [computeForecast(swapped), computeForecast(same)];
    ours.hoursNow.forEach((hours, i) => {
      expect(hours).toBeCloseTo((right.hoursNow[i] ?? 0) - 199, 1);
    });
  });

  test('"not used since" keeps the hours where they stood', () => {
    const told = computeForecast(aCase({ notUsedSinceMs: day(427) }));
    expect(told.hoursNow[6]).toBe(270);
    expect(told.dueWithin[2]).toBeLessThan(computeForecast(aCase()).dueWithin[2] ?? 0);
  });

  test('a feed without gaps fixes the hours to the learnt ratio, and it learns it', () => {
    const runs = Array.from({ length: 300 }, (_, i) => ({
      fromMs: day(i) + 8 * 3_600_000,
      toMs: day(i) + 9 * 3_600_000,
    }));
    const readings = Array.from({ length: 9 }, (_, i) => ({ atMs: day(30 * i), hours: 500 + 30 * i * 0.7 }));
    const { hoursNow } = computeForecast(
      aCase({ readings, runs, coverage: [{ fromMs: day(0), toMs: day(300) }], nowMs: day(300), targetHours: 900 }),
    );
    // 60 days at 0.7 meter hours a day since the reading of day 240.
    expect(hoursNow[3]).toBeCloseTo(500 + 300 * 0.7, -0.3);
    expect((hoursNow[5] ?? 0) - (hoursNow[1] ?? 0)).toBeLessThan(6);
  });

  test('idle years make the next weeks unlikely, and fifty hours a matter of many years', () => {
    const idle = (years: number) =>
      computeForecast(
        aCase({
          readings: [0, 1].map((i) => ({ atMs: start + i * years * 365 * dayMs, hours: 40 })),
          nowMs: start + (years * 365 + 8) * dayMs,
          targetHours: 90,
        }),
      );
    expect(idle(3).dueWithin[2]).toBeLessThan(0.01);
    expect(idle(10).dueWithin[2]).toBeLessThan(idle(3).dueWithin[2] ?? 0);
    expect(idle(10).dueDays[3] ?? 1e9).toBeGreaterThan(2000);
  });

  test('five hundred readings, two of them a minute apart, are no worse than fifty', () => {
    const readings = Array.from({ length: 500 }, (_, i) => ({ atMs: day(2 * i), hours: 100 + 0.4 * i }));
    readings.push({ atMs: day(998) + 60_000, hours: 299.7 });
    const { hoursNow } = computeForecast(aCase({ readings, nowMs: day(1050), targetHours: 320 }));
    expect(hoursNow[3]).toBeGreaterThan(303);
    expect(hoursNow[3]).toBeLessThan(316);
  });

  test('never more than 24 h a day', () => {
    const readings = [
      { atMs: start, hours: 0 },
      { atMs: start + dayMs, hours: 24 },
    ];
    const { hoursNow } = computeForecast(aCase({ readings, nowMs: start + 3 * dayMs, targetHours: 100 }));
    expect(hoursNow[6]).toBeLessThanOrEqual(72.01);
  });
});

describe('a case that cannot be', () => {
  const at = (n: number, hours: number) => ({ atMs: start + n * dayMs, hours });

  test.each([
    ['case-without-evidence', { readings: [] }],
    ['case-hours-fall', { readings: [at(0, 10), at(9, 12), at(20, 11)] }],
    ['case-readings-disagree', { readings: [at(0, 10), at(0, 12)] }],
    ['case-in-future', { readings: [at(9999, 10)] }],
    ['case-in-future', { notUsedSinceMs: start + 9999 * dayMs }],
  ])('is refused: %s', (code, over) => {
    expect(codeOf(() => computeForecast(aCase(over)))).toBe(code);
  });
});
