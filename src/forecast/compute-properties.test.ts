import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayMs, hourMs } from '../domain/day.js';
import { Fault } from '../domain/fault.js';
import { seasonWords } from '../domain/machine.js';
import { computeForecast, type ForecastAnswer, type ForecastCase } from './compute.js';

const nowMs = Date.UTC(2031, 3, 2);
const levels = [0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975];
const probeDays = [0, 3, 7, 14, 30, 60, 90, 180, 365, 548, 1200, 3650];

/** Whole days before now with hours run on each: what a machine truly did, from which readings, runs and coverage are cut. */
const usage = fc.array(fc.record({ gap: fc.integer({ min: 1, max: 40 }), hours: fc.integer({ min: 1, max: 80 }) }), {
  minLength: 3,
  maxLength: 40,
});
interface Shares {
  readonly readings: number;
  readonly feed: boolean;
  readonly replaced: boolean;
}
const shares = fc.record({
  readings: fc.integer({ min: 1, max: 4 }),
  feed: fc.boolean(),
  replaced: fc.boolean(),
});

function caseOf(
  steps: readonly { gap: number; hours: number }[],
  { readings: every, feed, replaced }: Shares,
): ForecastCase {
  const days = steps.reduce((sum, { gap }) => sum + gap, 0);
  const firstMs = nowMs - (days + 5) * dayMs;
  let atMs = firstMs;
  let hours = 120;
  const readings = [{ atMs, hours }];
  const runs: { fromMs: number; toMs: number }[] = [];
  steps.forEach((step, i) => {
    atMs += step.gap * dayMs;
    hours = Math.round(10 * hours + step.hours) / 10;
    const fromMs = atMs - 10 * hourMs;
    runs.push({ fromMs, toMs: fromMs + (step.hours / 10) * hourMs });
    if (i % every === 0) readings.push({ atMs, hours });
  });
  const middle = readings[Math.floor(readings.length / 2)];
  const meters =
    replaced && middle !== undefined ? [{ atMs: middle.atMs + 1, lastHours: middle.hours, firstHours: 2 }] : [];
  const carried = (reading: { atMs: number; hours: number }) =>
    meters.length > 0 && middle !== undefined && reading.atMs > middle.atMs
      ? { ...reading, hours: Math.round(10 * (reading.hours - middle.hours + 2)) / 10 }
      : reading;
  const shown = readings.map(carried);
  const half = firstMs + (nowMs - firstMs) / 2;
  return {
    nowMs,
    targetHours: (shown.at(-1)?.hours ?? 0) + 25,
    readings: shown,
    expect: { season: 'unknown' },
    hemisphere: 'north',
    runs: feed ? runs.filter((run) => run.fromMs > half) : [],
    coverage: feed
      ? [
          { fromMs: half, toMs: half + 20 * dayMs },
          { fromMs: half + 30 * dayMs, toMs: Math.max(half + 31 * dayMs, nowMs - 4 * dayMs) },
        ].filter((span) => span.toMs <= nowMs && span.fromMs < span.toMs)
      : [],
    meters,
    notUsedSinceMs: null,
    levels,
    probeDays,
  };
}
const cases = fc.tuple(usage, shares).map(([steps, share]) => caseOf(steps, share));
const some = { numRuns: 30 };

function near(ours: ForecastAnswer, right: ForecastAnswer, digits: number): void {
  ours.dueWithin.forEach((p, i) => {
    expect(p).toBeCloseTo(right.dueWithin[i] ?? 2, digits);
  });
  ours.dueDays.forEach((days, i) => {
    // A day is searched for to within 0.005; where it is hardly ever reached the search ends on either side of ten years.
    const other = right.dueDays[i] ?? null;
    if (days === null || other === null) expect(days ?? 3640).toBeCloseTo(other ?? 3640, -2);
    else expect(Math.abs(days - other)).toBeLessThan(0.02);
  });
  ours.hoursNow.forEach((hours, i) => {
    expect(hours).toBeCloseTo(right.hoursNow[i] ?? -1, 1);
  });
}

function shifted(one: ForecastCase, ms: number): ForecastCase {
  const span = ({ fromMs, toMs }: { fromMs: number; toMs: number }) => ({ fromMs: fromMs + ms, toMs: toMs + ms });
  return {
    ...one,
    nowMs: one.nowMs + ms,
    readings: one.readings.map((reading) => ({ ...reading, atMs: reading.atMs + ms })),
    runs: one.runs.map(span),
    coverage: one.coverage.map(span),
    meters: one.meters.map((change) => ({ ...change, atMs: change.atMs + ms })),
  };
}

describe('a forecast from readings, a feed and a replaced meter', () => {
  test('is the same in whatever order its evidence is given', () => {
    const mixed = cases.chain((one) =>
      fc.record({
        one: fc.constant(one),
        readings: fc.shuffledSubarray([...one.readings], { minLength: one.readings.length }),
        runs: fc.shuffledSubarray([...one.runs], { minLength: one.runs.length }),
        coverage: fc.shuffledSubarray([...one.coverage], { minLength: one.coverage.length }),
      }),
    );
    fc.assert(
      fc.property(mixed, ({ one, readings, runs, coverage }) => {
        expect(computeForecast({ ...one, readings, runs, coverage })).toEqual(computeForecast(one));
      }),
      some,
    );
  });

  test('is the same where a reading or a run is told twice', () => {
    fc.assert(
      fc.property(cases, (one) => {
        const twice = { ...one, readings: [...one.readings, ...one.readings], runs: [...one.runs, ...one.runs] };
        near(computeForecast(twice), computeForecast(one), 10);
      }),
      some,
    );
  });

  test('moves with its dates by four years, every number of it', () => {
    fc.assert(
      fc.property(cases, fc.constantFrom(...seasonWords), (one, season) => {
        const said = { ...one, expect: { season } };
        near(computeForecast(shifted(said, 1461 * dayMs)), computeForecast(said), 6);
      }),
      some,
    );
  });

  test('is the same half a year later on the other half of the earth, whatever the season', () => {
    fc.assert(
      fc.property(cases, fc.constantFrom(...seasonWords), (one, season) => {
        const said = { ...one, expect: { season } };
        const south = { ...shifted(said, (365.25 / 2) * dayMs), hemisphere: 'south' as const };
        near(computeForecast(south), computeForecast(said), 6);
      }),
      some,
    );
  });

  test('is never likelier for a farther target, never less likely by a later day', () => {
    fc.assert(
      fc.property(cases, fc.double({ min: 0.1, max: 60, noNaN: true }), (one, farther) => {
        const close = computeForecast(one).dueWithin;
        const far = computeForecast({ ...one, targetHours: one.targetHours + farther }).dueWithin;
        far.forEach((p, i) => {
          expect(p).toBeLessThanOrEqual((close[i] ?? 0) + 1e-9);
          expect(p).toBeGreaterThanOrEqual(far[i - 1] ?? 0);
        });
      }),
      some,
    );
  });
});

/** Anything that the door lets in: hours to a million, instants to the millisecond, levels and days at their ends. */
const wild: fc.Arbitrary<ForecastCase> = fc.record({
  nowMs: fc.constant(nowMs),
  targetHours: fc.double({ min: 0, max: 1e6, noNaN: true }),
  readings: fc
    .array(
      fc.record({
        agoMs: fc.oneof(
          fc.integer({ min: 0, max: 600_000 }),
          fc.maxSafeNat().map((n) => n % (60 * 365 * dayMs)),
        ),
        rise: fc.oneof(
          fc.constant(0),
          fc.double({ min: 0, max: 30, noNaN: true }),
          fc.double({ min: 0, max: 1e5, noNaN: true }),
        ),
      }),
      { maxLength: 12 },
    )
    .map((steps) => {
      let hours = 0;
      return [...steps]
        .sort((a, b) => b.agoMs - a.agoMs)
        .map(({ agoMs, rise }) => {
          hours = Math.min(1e6, hours + rise);
          return { atMs: nowMs - agoMs, hours };
        });
    }),
  expect: fc.oneof(
    fc.record({ season: fc.constantFrom(...seasonWords) }),
    fc.record({ season: fc.constantFrom(...seasonWords), hoursPerYear: fc.double({ min: 0, max: 8784, noNaN: true }) }),
  ),
  hemisphere: fc.constantFrom('north' as const, 'south' as const),
  runs: spansBefore(6),
  coverage: spansBefore(4),
  meters: fc.array(
    fc.record({
      atMs: fc.integer({ min: 0, max: 900 }).map((days) => nowMs - days * dayMs),
      lastHours: fc.double({ min: 0, max: 1e6, noNaN: true }),
      firstHours: fc.double({ min: 0, max: 1e6, noNaN: true }),
    }),
    { maxLength: 1 },
  ),
  notUsedSinceMs: fc.option(fc.integer({ min: 0, max: 2000 }).map((days) => nowMs - days * dayMs)),
  levels: fc.constant([1e-9, ...levels, 1 - 1e-9]),
  probeDays: fc.constant([0, 1e-9, ...probeDays, 36_500]),
});

function spansBefore(maxLength: number) {
  return fc
    .array(
      fc.record({
        ago: fc.double({ min: 0, max: 900, noNaN: true }),
        long: fc.double({ min: 0, max: 40, noNaN: true }),
      }),
      {
        maxLength,
      },
    )
    .map((spans) =>
      spans.map(({ ago, long }) => ({
        fromMs: Math.round(nowMs - (ago + long) * dayMs),
        toMs: Math.round(nowMs - ago * dayMs),
      })),
    );
}

test('whatever is let in, the answer is numbers in their order or a fault with a code, never NaN', () => {
  let answered = 0;
  fc.assert(
    fc.property(wild, (one) => {
      let answer: ForecastAnswer;
      try {
        answer = computeForecast(one);
      } catch (fault) {
        if (!(fault instanceof Fault)) throw fault;
        return;
      }
      answered += 1;
      for (const value of [...answer.hoursNow, ...answer.dueWithin]) expect(Number.isFinite(value)).toBe(true);
      for (const p of answer.dueWithin) expect(p >= 0 && p <= 1).toBe(true);
      const due = answer.dueDays.map((days) => days ?? 3650);
      for (const days of due) expect(days <= 3650).toBe(true);
      for (const values of [answer.hoursNow, due, answer.dueWithin])
        values.forEach((value, i) => {
          expect(value).toBeGreaterThanOrEqual((values[i - 1] ?? Number.NEGATIVE_INFINITY) - 1e-6);
        });
    }),
    { numRuns: 120 },
  );
  expect(answered).toBeGreaterThan(30);
});
