import { describe, expect, test } from 'vitest';
import { dayMs, hourMs, minuteMs } from '../domain/day.js';
import { computeForecast, type ForecastAnswer, type ForecastCase } from './compute.js';

const levels = [0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975];
const nowMs = Date.UTC(2032, 1, 29, 12);
const ago = (days: number) => nowMs - days * dayMs;

/** A year and a half of a machine that runs 2 h a week, read every month; a target 30 h after the last reading. */
const monthly = Array.from({ length: 19 }, (_, i) => ({ atMs: ago(545 - 30 * i), hours: 300 + 8.6 * i }));

function aCase(over: Partial<ForecastCase> = {}): ForecastCase {
  const readings = over.readings ?? monthly;
  return {
    nowMs,
    targetHours: (readings.at(-1)?.hours ?? 0) + 30,
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
const median = (answer: ForecastAnswer) => answer.dueDays[3] ?? Number.POSITIVE_INFINITY;
const now = (answer: ForecastAnswer) => answer.hoursNow[3] ?? Number.NaN;
const spanNow = (answer: ForecastAnswer) => (answer.hoursNow[5] ?? Number.NaN) - (answer.hoursNow[1] ?? Number.NaN);

describe('few readings', () => {
  test('none, but a sensor: hours count from 0 where it began', () => {
    const runs = Array.from({ length: 40 }, (_, i) => ({ fromMs: ago(80 - 2 * i), toMs: ago(80 - 2 * i) + hourMs }));
    const coverage = [{ fromMs: ago(80), toMs: ago(0) }];
    const answer = computeForecast(aCase({ readings: [], runs, coverage, targetHours: 60 }));
    // 40 h of the sensor are 26 to 52 h of a meter at the ratios that meters have.
    expect(now(answer)).toBeGreaterThan(25);
    expect(now(answer)).toBeLessThan(50);
    expect(median(answer)).toBeGreaterThan(5);
    expect(median(answer)).toBeLessThan(120);
  });

  test('one leaves a wide guess that the owner’s word for the year narrows and moves', () => {
    const readings = [{ atMs: ago(3), hours: 412 }];
    const untold = computeForecast(aCase({ readings }));
    const told = (hoursPerYear: number) =>
      computeForecast(aCase({ readings, expect: { season: 'even', hoursPerYear } }));
    expect(median(told(60))).toBeGreaterThan(3 * median(told(365)));
    // 30 h at an hour a day.
    expect(median(told(365))).toBeGreaterThan(15);
    expect(median(told(365))).toBeLessThan(60);
    const decades = (answer: ForecastAnswer) => Math.log((answer.dueDays[4] ?? 3650) / (answer.dueDays[2] ?? 1));
    expect(decades(told(150))).toBeLessThan(decades(untold));
  });

  test('an owner’s word for the year fades as readings come', () => {
    const farOff = { season: 'unknown' as const, hoursPerYear: 10 };
    const right = { season: 'unknown' as const, hoursPerYear: 105 };
    const ratio = (count: number) => {
      const readings = monthly.slice(-count);
      return (
        median(computeForecast(aCase({ readings, expect: farOff }))) /
        median(computeForecast(aCase({ readings, expect: right })))
      );
    };
    expect(ratio(1)).toBeGreaterThan(3);
    expect(ratio(6)).toBeLessThan(ratio(1));
    expect(ratio(19)).toBeLessThan(1.4);
  });

  test('two a minute apart say hardly more than one', () => {
    const one = computeForecast(aCase({ readings: [{ atMs: ago(20), hours: 100 }] }));
    const two = computeForecast(
      aCase({
        readings: [
          { atMs: ago(20) - minuteMs, hours: 100 },
          { atMs: ago(20), hours: 100 },
        ],
      }),
    );
    expect(Math.abs((two.dueWithin[3] ?? 0) - (one.dueWithin[3] ?? 0))).toBeLessThan(0.02);
    expect(spanNow(two)).toBeGreaterThan(0.9 * spanNow(one));
  });
});

describe('many readings', () => {
  test('five hundred, several of them on one day, foresee what fifty do', () => {
    const spread = Array.from({ length: 500 }, (_, i) => ({
      atMs: ago(1000 - 2 * i) - (i % 3) * hourMs,
      hours: 100 + 0.4 * i,
    }));
    const many = computeForecast(aCase({ readings: spread }));
    const some = computeForecast(aCase({ readings: spread.filter((_, i) => i % 10 === 9) }));
    expect(Math.abs(median(many) / median(some) - 1)).toBeLessThan(0.1);
    // 30 h at 0.2 h a day from 2 days ago.
    expect(Math.abs(median(many) - 148)).toBeLessThan(20);
  });

  test('several in one day count as the day’s last', () => {
    const last = monthly.at(-1) ?? { atMs: nowMs, hours: 0 };
    const three = [1, 2, 3].map((h) => ({ atMs: last.atMs - h * hourMs, hours: last.hours - 0.1 * h }));
    const [plain, often] = [computeForecast(aCase()), computeForecast(aCase({ readings: [...monthly, ...three] }))];
    expect(Math.abs(median(often) - median(plain))).toBeLessThan(3);
    expect(spanNow(often) / spanNow(plain)).toBeCloseTo(1, 1);
  });
});

describe('extremes', () => {
  test('a machine that worked for two years and then stood for ten hardly runs ten hours in the next', () => {
    const readings = [
      { atMs: nowMs - 4380 * dayMs, hours: 20 },
      { atMs: nowMs - 3650 * dayMs, hours: 77 },
      { atMs: nowMs - 5 * dayMs, hours: 77 },
    ];
    const answer = computeForecast(aCase({ readings, targetHours: 87, probeDays: [365] }));
    expect(answer.dueWithin[0]).toBeLessThan(0.2);
    expect(median(answer)).toBeGreaterThan(3 * 365);
  });

  test('after ten idle years the hours stay where they were, and fifty more are years away', () => {
    const readings = [0, 1, 2, 3].map((i) => ({ atMs: ago(3653 - 1215 * i), hours: 77 }));
    const answer = computeForecast(aCase({ readings, targetHours: 127 }));
    expect(median(answer)).toBeGreaterThan(5 * 365);
    expect(answer.dueWithin[2]).toBeLessThan(0.002);
    expect(answer.hoursNow.slice(0, 6)).toEqual([77, 77, 77, 77, 77, 77]);
    expect(answer.dueWithin[5]).toBeLessThan(0.05);
  });

  test('day and night for a month goes on, and never gets ahead of the clock', () => {
    const readings = Array.from({ length: 11 }, (_, i) => ({ atMs: ago(33 - 3 * i), hours: 72 * i }));
    const answer = computeForecast(aCase({ readings, targetHours: 720 + 240, probeDays: [6.9] }));
    for (const hours of answer.hoursNow) expect(hours).toBeLessThanOrEqual(720 + 72 + 0.01);
    // 240 h more need ten days since the reading, seven from now.
    for (const days of answer.dueDays) expect(days ?? 0).toBeGreaterThanOrEqual(7 - 0.01);
    expect(answer.dueWithin[0]).toBe(0);
    expect(median(answer)).toBeLessThan(14);
  });

  test('a target that a reading has passed is certain, and lies at the newest reading', () => {
    const answer = computeForecast(aCase({ targetHours: 310 }));
    expect(new Set(answer.dueWithin)).toEqual(new Set([1]));
    for (const days of answer.dueDays) expect(days).toBeCloseTo(-5, 6);
  });

  test('a target just above the newest reading may lie before now, never before that reading', () => {
    const readings = monthly.slice(0, -3);
    const answer = computeForecast(aCase({ readings, targetHours: (readings.at(-1)?.hours ?? 0) + 0.1 }));
    expect(answer.dueDays[1] ?? 0).toBeLessThan(0);
    for (const days of answer.dueDays) expect(days ?? 0).toBeGreaterThanOrEqual(-95);
    expect(answer.dueWithin[0]).toBeGreaterThan(0.8);
  });

  test.each([10_000, 1e6])('a target %d h away is null on every level, at once', (far) => {
    const answer = computeForecast(aCase({ targetHours: Math.min(1e6, 300 + far), probeDays: [36_500] }));
    expect(answer.dueDays).toEqual(levels.map(() => null));
    expect(answer.dueWithin[0]).toBeLessThanOrEqual(1);
  });

  test('29 February is a day like its neighbours', () => {
    const on = (days: number) => {
      const shift = days * dayMs;
      return computeForecast(
        aCase({
          nowMs: nowMs + shift,
          readings: monthly.map((reading) => ({ ...reading, atMs: reading.atMs + shift })),
          expect: { season: 'summer' },
        }),
      );
    };
    const [before, leap, after] = [on(-1), on(0), on(1)].map(median);
    expect(Math.abs((before ?? 0) + (after ?? 0) - 2 * (leap ?? 0))).toBeLessThan(0.2);
  });
});

describe('meters and words', () => {
  test('a meter that rolled over at 9999.9 carries its hours', () => {
    const rolled = monthly.map((reading) => ({ ...reading, hours: reading.hours + 9600 }));
    const overMs = (rolled.find((reading) => reading.hours > 9999.9)?.atMs ?? nowMs) - 10 * dayMs;
    const shown = rolled.map((reading) =>
      reading.hours > 9999.9 ? { ...reading, hours: Math.round(10 * (reading.hours - 9999.9)) / 10 } : reading,
    );
    const answer = computeForecast(
      aCase({ readings: shown, meters: [{ atMs: overMs, lastHours: 9999.9, firstHours: 0 }] }),
    );
    const plain = computeForecast(aCase());
    expect(Math.abs(median(answer) / median(plain) - 1)).toBeLessThan(0.12);
    expect(now(answer)).toBeCloseTo((shown.at(-1)?.hours ?? 0) + now(plain) - (monthly.at(-1)?.hours ?? 0), 0);
  });

  test('"not used since" holds the hours and moves the date away', () => {
    const readings = monthly.slice(0, -4);
    const last = readings.at(-1) ?? { atMs: nowMs, hours: 0 };
    const [told, untold] = [
      computeForecast(aCase({ readings, notUsedSinceMs: last.atMs })),
      computeForecast(aCase({ readings })),
    ];
    expect(new Set(told.hoursNow)).toEqual(new Set([last.hours]));
    expect(median(told)).toBeGreaterThan(median(untold) + 60);
  });
});
