import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayMs, hourMs } from '../domain/day.js';
import type { Span } from '../domain/facts.js';
import { hoursQuantiles } from './at.js';
import { estimateHours, type HoursEstimate } from './estimate.js';
import { arrangeEvidence } from './evidence.js';
import { sensorPerMeterHour } from './ratio.js';

const startMs = Date.UTC(2031, 0, 1);
const days = 240;

/** Eight months in which the sensor sees an hour a day, and a meter that shows an hour where the sensor counts `perMeterHour`. */
function lived(perMeterHour: number, readEveryDays: number, counts: 'clock' | 'engine-speed'): HoursEstimate {
  const runs: Span[] = [];
  for (let day = 0; day < days; day += 1) {
    const fromMs = startMs + day * dayMs + 10 * hourMs;
    runs.push({ fromMs, toMs: fromMs + hourMs });
  }
  const readings = Array.from({ length: Math.floor(days / readEveryDays) + 1 }, (_, i) => ({
    atMs: startMs + i * readEveryDays * dayMs,
    hours: Math.round((200 + (i * readEveryDays) / perMeterHour) * 10) / 10,
    about: false,
  }));
  const estimate = estimateHours(
    arrangeEvidence({
      readings,
      changes: [],
      runs,
      coverage: [{ fromMs: startMs, toMs: startMs + days * dayMs }],
      notUsed: [],
      meterRatioKnown: false,
      meterCounts: counts,
      expect: { season: 'even' },
      hemisphere: 'north',
    }),
    startMs + days * dayMs,
  );
  if (estimate === null) throw new Error('nothing was estimated');
  return estimate;
}

describe('sensor hours per meter hour', () => {
  test('are learnt from readings, with a doubt that holds the truth', () => {
    const learnt = sensorPerMeterHour(lived(1.18, 40, 'engine-speed').ratio);
    expect(learnt?.p50).toBeCloseTo(1.18, 1);
    expect(learnt?.p10).toBeLessThan(1.18);
    expect(learnt?.p90).toBeGreaterThan(1.18);
  });

  test('narrow as more readings teach them', () => {
    const few = sensorPerMeterHour(lived(1.18, 240, 'engine-speed').ratio);
    const many = sensorPerMeterHour(lived(1.18, 30, 'engine-speed').ratio);
    if (few === null || many === null) throw new Error('nothing was learnt');
    expect(many.p90 - many.p10).toBeLessThan(few.p90 - few.p10);
  });

  test.each([0.1, 0.5, 2.5, 5])('are found where the sensor counts quite other hours: %s', (perMeterHour) => {
    const learnt = sensorPerMeterHour(lived(perMeterHour, 30, 'engine-speed').ratio);
    expect(Math.abs(Math.log((learnt?.p50 ?? 1) / perMeterHour))).toBeLessThan(0.06);
  });

  test('in doubt spread the hours now evenly: no two quantiles are one number, and the middle half is two thirds of a normal deviation', () => {
    const runs = [{ fromMs: startMs, toMs: startMs + 10 * hourMs }];
    const coverage = [{ fromMs: startMs, toMs: startMs + dayMs }];
    const readings = [{ atMs: startMs, hours: 100, about: false }];
    const estimate = estimateHours(
      arrangeEvidence({
        ...{ readings, changes: [], runs, coverage, notUsed: [], meterRatioKnown: false, meterCounts: 'engine-speed' },
        expect: { season: 'even' },
        hemisphere: 'north',
      }),
      startMs + dayMs,
    );
    if (estimate === null) throw new Error('nothing was estimated');
    const { mean, sd } = estimate.ratio;
    const found = hoursQuantiles(estimate, startMs + dayMs, [0.1, 0.25, 0.5, 0.75, 0.9]);
    // Normal quantiles: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.1.
    const normal = [-1.282, -0.674, 0, 0.674, 1.282].map((z) => 100 + 10 * (mean + z * sd));
    found.forEach((hours, i) => {
      expect(Math.abs(hours - (normal[i] ?? 0))).toBeLessThan(0.1 * 10 * sd);
    });
  });

  test('are used in the hours now: a sensor that counts more than the meter does not run the hours ahead', () => {
    const estimate = lived(1.18, 60, 'engine-speed');
    const [p50 = 0] = hoursQuantiles(estimate, startMs + days * dayMs, [0.5]);
    expect(p50).toBeCloseTo(200 + days / 1.18, 0);
  });

  test('are not told where no two readings hold a covered time between them', () => {
    expect(sensorPerMeterHour(lived(1.18, 500, 'clock').ratio)).toBeNull();
  });

  test('stand in order, whatever was learnt', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.3, max: 3, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (mean, sd) => {
          const told = sensorPerMeterHour({ mean, sd, windows: 1 });
          if (told === null) throw new Error('nothing was told');
          expect(told.p10).toBeGreaterThan(0);
          expect(told.p10).toBeLessThanOrEqual(told.p50);
          expect(told.p50).toBeLessThanOrEqual(told.p90);
          expect(Number.isFinite(told.p90)).toBe(true);
        },
      ),
    );
  });
});
