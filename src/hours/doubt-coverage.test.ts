import { describe, expect, test } from 'vitest';
import { dayMs, hourMs } from '../domain/day.js';
import { hoursPerYear, hoursQuantiles } from './at.js';
import { findContradictions } from './doubt-coverage.js';
import { estimateHours } from './estimate.js';
import { arrangeEvidence } from './evidence.js';

const startMs = Date.UTC(2031, 2, 1);
const day = (n: number) => startMs + n * dayMs;
const nowMs = day(150);
type Span = { fromMs: number; toMs: number };
/** Runs of two hours at ten, every third day. */
const everyThird = (from: number, to: number): Span[] =>
  Array.from({ length: Math.floor((to - from) / 3) }, (_, i) => {
    const fromMs = day(from + 3 * i) + 10 * hourMs;
    return { fromMs, toMs: fromMs + 2 * hourMs };
  });
const evidenceOf = (readings: [number, number][], runs: Span[], coverage: Span[]) =>
  arrangeEvidence({
    readings: readings.map(([at, hours]) => ({ atMs: day(at), hours, about: false })),
    changes: [],
    runs,
    coverage,
    notUsed: [],
    meterRatioKnown: false,
    meterCounts: 'clock',
    expect: { season: 'unknown' },
    hemisphere: 'north',
  });
const whole: Span[] = [{ fromMs: day(0), toMs: nowMs }];
const estimated = (evidence: ReturnType<typeof evidenceOf>) => {
  const estimate = estimateHours(evidence, nowMs);
  if (estimate === null) throw new Error('nothing was estimated');
  return estimate;
};
const median = (evidence: ReturnType<typeof evidenceOf>) => hoursQuantiles(estimated(evidence), nowMs, [0.5])[0] ?? 0;

describe('a sensor that is alive and sees nothing, while the meter rises', () => {
  const dead = evidenceOf(
    [
      [0, 100],
      [30, 120],
      [60, 140],
      [90, 154],
    ],
    everyThird(0, 60),
    whole,
  );

  test('is found, with what it saw and what the meter did', () => {
    expect(findContradictions(dead, nowMs)).toEqual([{ fromMs: day(60), toMs: day(90), sawHours: 0, roseHours: 14 }]);
  });

  test('is not believed after that either: the hours go on as they went', () => {
    // 20 h a month; sixty days after the last reading a believed sensor would say 154 h still.
    expect(median(dead)).toBeGreaterThan(165);
    expect(median(dead)).toBeLessThan(215);
  });

  test('is believed again once it sees the engine run', () => {
    const again = evidenceOf(
      [
        [0, 100],
        [30, 120],
        [60, 140],
        [90, 154],
      ],
      [...everyThird(0, 60), { fromMs: day(91), toMs: day(91) + hourMs }],
      whole,
    );
    expect(median(again)).toBeLessThan(160);
  });

  test('is not believed for a minute of a wire that sparks', () => {
    const spark = evidenceOf(
      [
        [0, 100],
        [30, 120],
        [60, 140],
        [90, 154],
      ],
      [...everyThird(0, 60), { fromMs: day(91), toMs: day(91) + 60_000 }],
      whole,
    );
    expect(median(spark)).toBeGreaterThan(165);
  });

  test('is found by what the other stretches say, not by its own', () => {
    // 20 seen hours of 20 on the meter at first; then the wire comes loose, and 2 of 30 are seen.
    const loose = evidenceOf(
      [
        [0, 100],
        [30, 120],
        [60, 150],
      ],
      [...everyThird(0, 30), { fromMs: day(45), toMs: day(45) + 2 * hourMs }],
      whole,
    );
    expect(findContradictions(loose, nowMs).map(({ fromMs }) => fromMs)).toEqual([day(30)]);
  });

  test('is found where it saw little in every stretch', () => {
    const never = evidenceOf(
      [
        [0, 100],
        [30, 140],
        [60, 180],
        [90, 220],
      ],
      [10, 40, 70].map((at) => ({ fromMs: day(at), toMs: day(at) + 1.1 * hourMs })),
      whole,
    );
    expect(findContradictions(never, nowMs)).toHaveLength(3);
  });

  test('does not spoil the ratio that was learnt while it worked', () => {
    expect(estimated(dead).ratio.mean).toBeCloseTo(1, 1);
  });

  test.each<[string, [number, number][], Span[], Span[]]>([
    [
      'counts a third of the meter hours, always',
      [
        [0, 100],
        [30, 160],
        [60, 220],
        [90, 280],
      ],
      everyThird(0, 90),
      whole,
    ],
    [
      'missed the days on which it worked',
      [
        [0, 100],
        [30, 120],
        [60, 134],
      ],
      everyThird(0, 30),
      [
        { fromMs: day(0), toMs: day(30) },
        { fromMs: day(35), toMs: day(60) },
      ],
    ],
    [
      'worked on the evening of a reading told for noon',
      [
        [0, 100],
        [30, 106],
      ],
      [{ fromMs: day(30) + hourMs, toMs: day(30) + 7 * hourMs }],
      whole,
    ],
    [
      'rose by less than two hours',
      [
        [0, 100],
        [30, 101.9],
      ],
      [],
      whole,
    ],
  ])('no doubt of a sensor whose machine %s', (_, readings, runs, coverage) => {
    expect(findContradictions(evidenceOf(readings, runs, coverage), nowMs)).toEqual([]);
  });
});

describe('runs without coverage', () => {
  const perYear = (readings: [number, number][], runs: Span[], coverage: Span[]) =>
    hoursPerYear(estimated(evidenceOf(readings, runs, coverage)), nowMs);

  test('teach no pace of 24 h a day', () => {
    // Two hours every third day are 243 h a year.
    const alone = perYear([], everyThird(0, 150), []);
    expect(alone).toBeGreaterThan(120);
    expect(alone).toBeLessThan(450);
    const single = perYear([], [{ fromMs: day(0), toMs: day(0) + 2 * hourMs }], []);
    expect(single).toBeGreaterThan(50);
    expect(single).toBeLessThan(600);
  });

  test('leave the pace to the readings around them', () => {
    const readings: [number, number][] = [
      [0, 100],
      [50, 133],
      [100, 166],
      [149, 199],
    ];
    const without = perYear(readings, [], []);
    expect(Math.abs(perYear(readings, everyThird(0, 150), []) / without - 1)).toBeLessThan(0.1);
  });
});

describe('a single day of a feed', () => {
  const readings: [number, number][] = [
    [-210, 30],
    [-150, 52],
    [-90, 69],
    [-30, 90],
    [30, 110],
    [90, 132],
  ];
  const worked = [{ fromMs: day(149) + 8 * hourMs, toMs: day(149) + 14 * hourMs }];
  const oneDay = [{ fromMs: day(149), toMs: day(150) }];

  test.each([
    ['idle', []],
    ['of six hours', worked],
  ])('%s weighs as one day, in the pace and in the days before it', (_, runs) => {
    const without = evidenceOf(readings, [], []);
    const withDay = evidenceOf(readings, runs, oneDay);
    const pace = hoursPerYear(estimated(withDay), nowMs) / hoursPerYear(estimated(without), nowMs);
    expect(Math.abs(pace - 1)).toBeLessThan(0.16);
    // About 21 h in the sixty days since the last reading; the six of that day stand beside it.
    const sinceRead = median(withDay) - median(without) - (runs.length > 0 ? 6 : 0);
    expect(Math.abs(sinceRead)).toBeLessThan(8);
  });
});
