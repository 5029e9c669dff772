import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayMs, dayNumber, parseDay, parseZone } from '../domain/day.js';
import type { SeasonWord } from '../domain/machine.js';
import { estimateHours, type HoursEstimate } from '../hours/estimate.js';
import { arrangeEvidence } from '../hours/evidence.js';
import { interpolate } from '../maths/interpolate.js';
import { type Course, firstDayAt, traceCourse } from './course.js';
import { chanceByDay, newCourseMemory } from './course-memory.js';

const zone = parseZone('Europe/Lisbon');
const today = dayNumber(parseDay('2031-09-10'));

/** The chance that a course gives: 0 before it, its last value after it. */
const chanceOn = (course: Course, day: number) =>
  day < (course.days[0] ?? 0) ? 0 : interpolate(course.days, course.p, day);

interface Used {
  readonly readings: readonly { readonly daysApart: number; readonly hours: number }[];
  readonly season: SeasonWord;
  readonly ageDays: number;
  readonly hoursLeft: number;
}

const machine: fc.Arbitrary<Used> = fc.record({
  readings: fc.array(
    fc.record({ daysApart: fc.integer({ min: 1, max: 120 }), hours: fc.double({ min: 0, max: 40, noNaN: true }) }),
    { minLength: 1, maxLength: 14 },
  ),
  season: fc.constantFrom<SeasonWord>('unknown', 'summer', 'winter', 'spring-autumn', 'even'),
  ageDays: fc.integer({ min: 0, max: 400 }),
  hoursLeft: fc.double({ min: 0.1, max: 150, noNaN: true }),
});

function estimateOf({ readings, season, ageDays }: Used): HoursEstimate {
  let atMs = (today - ageDays) * dayMs - readings.reduce((sum, one) => sum + one.daysApart * dayMs, 0);
  let hours = 100;
  const list = readings.map((one) => {
    atMs += one.daysApart * dayMs;
    hours += one.hours;
    return { atMs, hours, about: false };
  });
  const estimate = estimateHours(
    arrangeEvidence({
      readings: list,
      changes: [],
      runs: [],
      coverage: [],
      notUsed: [],
      meterRatioKnown: false,
      meterCounts: 'clock',
      expect: { season, hoursPerYear: 60 },
      hemisphere: 'north',
    }),
    today * dayMs,
  );
  if (estimate === null) throw new Error('readings were given');
  return estimate;
}

const lawOf = (estimate: HoursEstimate, hoursLeft: number) =>
  chanceByDay(
    estimate,
    zone,
    { targetHours: estimate.timeline.origin.hours + hoursLeft, counted: null },
    newCourseMemory(),
  );

describe('a course', () => {
  test('stays within 0.002 of the chance it was traced from, on every day', () => {
    fc.assert(
      fc.property(machine, (one) => {
        const chance = lawOf(estimateOf(one), one.hoursLeft);
        const [from, to] = [today - one.ageDays, today + 800];
        const course = traceCourse(chance, from, to);
        for (let day = from; day <= to; day += 1) {
          expect(Math.abs(chanceOn(course, day) - chance(day))).toBeLessThan(0.002);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('never falls, in ascending days', () => {
    fc.assert(
      fc.property(machine, (one) => {
        const { days, p } = traceCourse(lawOf(estimateOf(one), one.hoursLeft), today - one.ageDays, today + 800);
        expect(days.length).toBe(p.length);
        days.forEach((day, i) => {
          expect(day).toBeGreaterThan(days[i - 1] ?? Number.NEGATIVE_INFINITY);
          expect(p[i]).toBeGreaterThanOrEqual(p[i - 1] ?? 0);
        });
      }),
      { numRuns: 40 },
    );
  });

  test('finds a step to its day, wherever it stands', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 800 }), (at) => {
        const course = traceCourse((day) => (day >= at ? 1 : 0), 0, 800);
        expect([chanceOn(course, at - 1), chanceOn(course, at)]).toEqual([0, 1]);
      }),
    );
  });

  test('asks little of what never comes, and of what has come', () => {
    for (const p of [0, 1]) {
      let asked = 0;
      const course = traceCourse(
        () => {
          asked += 1;
          return p;
        },
        0,
        800,
      );
      expect([asked, chanceOn(course, 700)]).toEqual([2, p]);
    }
  });
});

test('the first day at a level is the one that counting days one by one finds', () => {
  fc.assert(
    fc.property(machine, fc.constantFrom(0.1, 0.5, 0.9), (one, level) => {
      const chance = lawOf(estimateOf(one), one.hoursLeft);
      const [from, to, until] = [today - one.ageDays, today + 300, today + 1200];
      const found = firstDayAt(chance, traceCourse(chance, from, to), level, until);
      let day = from;
      while (day <= until && chance(day) < level) day += 1;
      expect(found).toBe(day > until ? null : day);
    }),
    { numRuns: 60 },
  );
});
