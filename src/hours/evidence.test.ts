import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { atDay, someFacts, someMachine } from '../../tests/stage/small-machine.js';
import { minuteMs } from '../domain/day.js';
import { hoursPerYear, hoursQuantiles, pReached } from './at.js';
import { estimateHours } from './estimate.js';
import { evidenceKey, gatherEvidence, withReading } from './evidence.js';
import { foresee } from './foresee.js';

const facts = someFacts([
  ['2030-02-10', 110],
  ['2030-05-12', 118.5],
  ['2030-08-11', 141],
  ['2030-11-10', 149.5],
]);
const mower = someMachine([]);
const evidence = gatherEvidence(mower, facts, 'north');
const now = atDay('2031-01-15');

function estimateOf(from = evidence, atMs = now) {
  const estimate = estimateHours(from, atMs);
  if (estimate === null) throw new Error('nothing known');
  return estimate;
}

describe('evidence', () => {
  test('with one more reading is what would have been gathered with it, whatever is in the list already', () => {
    const changes = [{ atMs: atDay('2030-07-01'), lastHours: 143, firstHours: 2 }];
    const first = { hours: 96, atMs: atDay('2030-01-06'), about: true };
    const machine = someMachine([], { meter: { kind: 'meter', counts: 'clock', changes, first } });
    const one = fc.tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 0, max: 200 }));
    const listed = (rows: readonly (readonly [number, number])[]) =>
      gatherEvidence(machine, someFacts(rows.map(([month, hours]) => [monthDay(month), hours])), 'north');
    const monthDay = (month: number) => `2030-${String(month).padStart(2, '0')}-05`;
    const plain = ({ readings }: { readonly readings: readonly { atMs: number; hours: number }[] }) =>
      readings.map(({ atMs, hours }) => [atMs, hours]);
    fc.assert(
      fc.property(fc.array(one, { maxLength: 12 }), one, (rows, [month, hours]) => {
        const added = withReading(listed(rows), changes, { atMs: atDay(monthDay(month)), hours, about: false });
        expect(plain(added)).toEqual(plain(listed([...rows, [month, hours]])));
      }),
    );
  });

  test('holds the first value of the configuration as a reading', () => {
    const first = { hours: 96, atMs: atDay('2030-01-06'), about: true };
    const machine = someMachine([], { meter: { kind: 'meter', counts: 'clock', changes: [], first } });
    expect(gatherEvidence(machine, facts, 'north').readings[0]).toEqual({
      hours: 96,
      atMs: atDay('2030-01-06'),
      about: true,
    });
  });

  test('carries hours of an old meter over, where they may be negative', () => {
    const changes = [{ atMs: atDay('2030-09-01'), lastHours: 143, firstHours: 2 }];
    const machine = someMachine([], { meter: { kind: 'meter', counts: 'clock', changes } });
    const { readings } = gatherEvidence(
      machine,
      someFacts([
        ['2030-02-10', 110],
        ['2030-08-11', 141],
        ['2030-11-10', 9],
      ]),
      'north',
    );
    expect(readings.map((reading) => reading.hours)).toEqual([-31, 0, 2, 9]);
  });

  test('of a machine without a meter adds up what people tell', () => {
    const saw = someMachine([], { meter: { kind: 'none' } });
    const told = [
      { id: 't1', atMs: atDay('2030-03-01'), minutes: 40, by: null },
      { id: 't2', atMs: atDay('2030-04-01'), minutes: 80, by: null },
    ];
    const { readings } = gatherEvidence(saw, { ...someFacts([]), toldRuns: told }, 'north');
    const stood = (day: string) => readings.filter((reading) => reading.atMs <= atDay(day)).at(-1)?.hours;
    expect([stood('2030-02-01'), stood('2030-03-01'), stood('2030-04-01')]).toEqual([0, expect.closeTo(2 / 3, 9), 2]);
  });

  test('between two told runs a machine without a meter stands still', () => {
    const saw = someMachine([], { meter: { kind: 'none' } });
    const told = [
      { id: 't1', atMs: atDay('2030-03-01'), minutes: 40, by: null },
      // Told twice over the same time: the second begins where the first ends.
      { id: 't2', atMs: atDay('2030-03-01') + 60_000, minutes: 80, by: null },
    ];
    const { readings } = gatherEvidence(saw, { ...someFacts([]), toldRuns: told }, 'north');
    expect(readings.map(({ atMs, hours }) => [atMs, hours])).toEqual([
      [expect.any(Number), 0],
      [atDay('2030-03-01') - 40 * 60_000, 0],
      [atDay('2030-03-01'), expect.closeTo(2 / 3, 9)],
      [atDay('2030-03-01'), expect.closeTo(2 / 3, 9)],
      [atDay('2030-03-01') + 60_000, 2],
    ]);
  });

  test('levels a reading that a later one contradicts', () => {
    const { readings } = gatherEvidence(
      mower,
      someFacts([
        ['2030-02-10', 120],
        ['2030-05-12', 118],
      ]),
      'north',
    );
    expect(readings.map((reading) => reading.hours)).toEqual([118, 118]);
  });

  test('has the same key as long as it is the same, and another after any change', () => {
    expect(evidenceKey(gatherEvidence(mower, facts, 'north'))).toBe(evidenceKey(evidence));
    const others = [
      { ...evidence, hemisphere: 'south' as const },
      { ...evidence, expect: { season: 'summer' as const } },
      {
        ...evidence,
        readings: evidence.readings.map((reading, i) =>
          i === 2 ? { ...reading, hours: reading.hours + 0.1 } : reading,
        ),
      },
      { ...evidence, readings: evidence.readings.slice(1) },
      { ...evidence, coverage: [{ fromMs: 1, toMs: 2 }] },
      { ...evidence, notUsed: [{ fromMs: 1, toMs: 2 }] },
    ];
    expect(new Set([evidence, ...others].map(evidenceKey)).size).toBe(others.length + 1);
  });
});

describe('hours at an instant', () => {
  const levels = [0.1, 0.5, 0.9];

  test('at a reading are the reading', () => {
    for (const reading of evidence.readings) {
      for (const hours of hoursQuantiles(estimateOf(), reading.atMs, levels))
        expect(hours).toBeCloseTo(reading.hours, 1);
    }
  });

  test('between two readings stay between them, and are wider in the middle', () => {
    const width = (day: string) => {
      const [low = 0, , high = 0] = hoursQuantiles(estimateOf(), atDay(day), levels);
      expect(low).toBeGreaterThanOrEqual(118.5);
      expect(high).toBeLessThanOrEqual(141);
      return high - low;
    };
    expect(width('2030-06-26')).toBeGreaterThan(width('2030-05-15'));
    expect(width('2030-06-26')).toBeGreaterThan(width('2030-08-09'));
  });

  test('before the first reading are below it', () => {
    const [low = 0, middle = 0, high = 0] = hoursQuantiles(estimateOf(), atDay('2029-12-10'), levels);
    expect(low).toBeGreaterThanOrEqual(0);
    expect(low <= middle && middle <= high && high <= 110).toBe(true);
    expect(middle).toBeGreaterThan(80);
  });

  test('do not depend on the clock while the evidence is the same', () => {
    const later = estimateOf(evidence, now + 90 * 86_400_000);
    expect(hoursQuantiles(later, now, levels)).toEqual(hoursQuantiles(estimateOf(), now, levels));
  });

  test('of one day are no more than 24 more', () => {
    expect(pReached(estimateOf(), 149.5 + 25, atDay('2030-11-11'))).toBe(0);
  });

  test('come to a year of the pace that the readings show', () => {
    // 39.5 h in three quarters of a year.
    const year = hoursPerYear(estimateOf(), now);
    expect(year).toBeGreaterThan(30);
    expect(year).toBeLessThan(95);
  });

  test('a machine without readings or runs has no estimate', () => {
    expect(estimateHours(gatherEvidence(mower, someFacts([]), 'north'), now)).toBeNull();
  });

  test('a first value that is only about right leaves doubt at once', () => {
    const first = { hours: 400, atMs: now, about: true };
    const machine = someMachine([], { meter: { kind: 'meter', counts: 'clock', changes: [], first } });
    const [low = 0, , high = 0] = hoursQuantiles(
      estimateOf(gatherEvidence(machine, someFacts([]), 'north')),
      now + minuteMs,
      levels,
    );
    expect(high - low).toBeGreaterThan(20);
  });
});

describe('as if the meter were read now', () => {
  const target = 170;
  const later = now + 120 * 86_400_000;

  test('a higher reading brings the target nearer', () => {
    const p = [150, 155, 162].map((hours) => foresee(estimateOf()).pReachedGiven(hours, now, target, later));
    expect(p[0]).toBeLessThan(p[1] ?? 0);
    expect(p[1]).toBeLessThan(p[2] ?? 0);
    expect(foresee(estimateOf()).pReachedGiven(171, now, target, later)).toBe(1);
    expect(foresee(estimateOf()).pReachedGiven(160, now, target, now)).toBe(0);
  });

  test('agrees with a fit that really has the reading', () => {
    const read = { ...evidence, readings: [...evidence.readings, { atMs: now, hours: 155, about: false }] };
    const real = pReached(estimateOf(read), target, later);
    expect(Math.abs(foresee(estimateOf()).pReachedGiven(155, now, target, later) - real)).toBeLessThan(0.12);
  });
});

describe('a season word that the readings contradict', () => {
  test('loses its weight to an even year', () => {
    const even = someFacts(
      Array.from(
        { length: 30 },
        (_, i) => [`${2029 + Math.floor(i / 12)}-${String((i % 12) + 1).padStart(2, '0')}-05`, 100 + 8 * i] as const,
      ),
    );
    const doubt = (season: 'summer') =>
      estimateOf(gatherEvidence(someMachine([], { expect: { season } }), even, 'north'), atDay('2031-07-01'))
        .pWordWrong;
    expect(doubt('summer')).toBeGreaterThan(0.9);
    expect(estimateOf().pWordWrong).toBeNull();
  });
});
