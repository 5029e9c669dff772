import fc from 'fast-check';
import { expect, test } from 'vitest';
import { aDue, inDays, wednesday } from '../../tests/stage/visit-scene.js';
import { dayNumber } from '../domain/day.js';
import { meterHours } from '../domain/meter-hours.js';
import { chanceBy, sumCurve } from './curve-sum.js';
import type { Foresight } from './foresight.js';
import { costOfDays, lateIfLeft } from './task-cost.js';

const today = dayNumber(wednesday);
const blind = { nowMs: 0, today, foresight: null, machine: { meter: { kind: 'meter' } } } as const;
const saturdays = Array.from({ length: 110 }, (_, i) => today + 3 + 7 * i);

const bestDay = (costs: readonly number[], days = saturdays) => (days[costs.indexOf(Math.min(...costs))] ?? 0) - today;

test('a curve is a straight line between its points, nothing before and its last value after', () => {
  const curve = { from: wednesday, offsets: [10, 20], p: [0.2, 0.8] };
  expect([9, 10, 15, 20, 400].map((day) => chanceBy(curve, today + day))).toEqual([0, 0.2, 0.5, 0.8, 0.8]);
  expect(chanceBy(null, today)).toBe(0);
});

test('the running sum of a curve is the area below it', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.integer({ min: 1, max: 30 }), fc.double({ min: 0, max: 1, noNaN: true })), {
        minLength: 1,
        maxLength: 12,
      }),
      (steps) => {
        let offset = -20;
        const offsets = steps.map(([step]) => (offset += step));
        const p = steps.map(([, chance]) => chance).sort((a, b) => a - b);
        const curve = { from: wednesday, offsets, p };
        const sum = sumCurve(curve);
        const end = today + 200;
        const parts = 200;
        let area = 0;
        for (let day = today - 30; day < end; day++) {
          for (let i = 0; i < parts; i++) area += sum.at(day + (i + 0.5) / parts) / parts;
        }
        expect(sum.upTo(end)).toBeCloseTo(area, 0);
      },
    ),
    { numRuns: 10 },
  );
});

test('costs are never negative, 0 on the best day, and rise to either side of it', () => {
  const due = fc.record({
    median: fc.integer({ min: -100, max: 600 }),
    spread: fc.integer({ min: 1, max: 300 }),
    tolerance: fc.integer({ min: 0, max: 60 }),
    intervalDays: fc.integer({ min: 20, max: 1200 }),
  });
  fc.assert(
    fc.property(due, ({ median, ...rest }) => {
      const costs = costOfDays(aDue('oil', median, rest), saturdays, today, blind);
      const best = costs.indexOf(0);
      expect(best).toBeGreaterThanOrEqual(0);
      costs.forEach((cost, i) => {
        expect(Number.isFinite(cost) && cost >= 0).toBe(true);
        const next = costs[i + 1];
        if (next !== undefined) expect(i < best ? next <= cost + 1e-9 : next >= cost - 1e-9).toBe(true);
      });
    }),
  );
});

test('days before the earliest are not allowed', () => {
  const costs = costOfDays(aDue('oil', 0), saturdays, today + 30, blind);
  expect(costs.slice(0, 4).every((cost) => cost === Number.POSITIVE_INFINITY)).toBe(true);
  expect(bestDay(costs)).toBe(31);
});

test('a limit known to the day is kept to within half a week, however wide its tolerance', () => {
  const sure = aDue('oil', 180, { spread: 1, tolerance: 60 });
  const best = bestDay(costOfDays(sure, saturdays, today, blind));
  expect(best).toBeGreaterThanOrEqual(173);
  expect(best).toBeLessThanOrEqual(181);
});

test('the wider the doubt, the earlier the day', () => {
  const best = [5, 20, 40].map((spread) => bestDay(costOfDays(aDue('oil', 180, { spread }), saturdays, today, blind)));
  expect(best).toEqual([...best].sort((a, b) => b - a));
  expect(best[2]).toBeLessThan(best[0] ?? 0);
});

test('what is left is judged in hours where the hours are known: a machine in its idle season is not far from its limit', () => {
  // Eight months to go, but only two of a hundred hours: a trip wastes little, and a tail of the doubt is near.
  const due = aDue('oil', 240, {
    spread: 239,
    tolerance: 5,
    limit: 'hours',
    targetHours: meterHours(100),
    intervalHours: 100,
    toleranceHours: 10,
  });
  const nearly: Foresight = { hoursQuantiles: (_, levels) => levels.map(() => 98), pReachedGiven: () => 0.02 };
  const far: Foresight = { hoursQuantiles: (_, levels) => levels.map(() => 20), pReachedGiven: () => 0.02 };
  expect(bestDay(costOfDays(due, saturdays, today, { ...blind, foresight: nearly }))).toBe(3);
  expect(bestDay(costOfDays(due, saturdays, today, { ...blind, foresight: far }))).toBeGreaterThan(3);
});

test('a due date that is passed is for the first day', () => {
  expect(bestDay(costOfDays(aDue('oil', -30), saturdays, today, blind))).toBe(3);
  expect(aDue('oil', -30).day?.p50).toBe(inDays(-30));
});

test('a machine that a burst of use may carry past its limit any week is not visited every week for it', () => {
  const due = aDue('oil', 60, {
    spread: 60,
    tolerance: 5,
    limit: 'hours',
    targetHours: meterHours(20),
    intervalHours: 20,
    toleranceHours: 2,
  });
  const standby = (hours: number): Foresight => ({
    hoursQuantiles: (_, levels) => levels.map(() => hours),
    pReachedGiven: () => 0.1,
  });
  expect(bestDay(costOfDays(due, saturdays, today, { ...blind, foresight: standby(2) }))).toBeGreaterThan(3);
  expect(bestDay(costOfDays(due, saturdays, today, { ...blind, foresight: standby(18) }))).toBe(3);
});

test('without a meter nobody sees that it was too early, so that the work waits until it is more likely late', () => {
  const due = aDue('filter', 20, {
    spread: 18,
    tolerance: 5,
    limit: 'hours',
    targetHours: meterHours(12),
    intervalHours: 12,
    toleranceHours: 1,
  });
  // Half of the interval is left in the middle, and two answers in fifteen are near the limit.
  const open: Foresight = {
    hoursQuantiles: (_, levels) => levels.map((level) => 2 + 9 * level),
    pReachedGiven: (hours) => (hours > 9.6 ? 0.25 : 0.01),
  };
  const metered = { ...blind, foresight: open };
  const unmetered = { ...metered, machine: { meter: { kind: 'none' } } } as const;
  expect(bestDay(costOfDays(due, saturdays, today, metered))).toBe(3);
  expect(bestDay(costOfDays(due, saturdays, today, unmetered))).toBeGreaterThan(3);
});

test('work that one more missed weekend would make late is called a week sooner than work that it would not', () => {
  const due = aDue('oil', 17, {
    spread: 6,
    tolerance: 2,
    limit: 'hours',
    targetHours: meterHours(100),
    intervalHours: 100,
    toleranceHours: 10,
  });
  // By the next weekend hardly anything is late; by the one after it may be.
  const weekAfterMs = 14 * 86_400_000;
  const steep = (later: number): Foresight => ({
    hoursQuantiles: (_, levels) => levels.map(() => 85),
    pReachedGiven: (_hours, _now, _target, atMs) => (atMs > weekAfterMs ? later : 0.01),
  });
  expect(bestDay(costOfDays(due, saturdays, today, { ...blind, foresight: steep(0.4) }))).toBe(3);
  expect(bestDay(costOfDays(due, saturdays, today, { ...blind, foresight: steep(0.02) }))).toBeGreaterThan(3);
});

test('leaving a call for a week counts the week by which some heed it late, and never more than being late for sure', () => {
  expect(lateIfLeft(0, 0)).toBe(0);
  expect(lateIfLeft(0, 0.5)).toBeCloseTo(0.1, 12);
  expect(lateIfLeft(0.1, 0.1)).toBeCloseTo(0.08, 12);
  expect(lateIfLeft(1, 1)).toBeLessThanOrEqual(1);
});
