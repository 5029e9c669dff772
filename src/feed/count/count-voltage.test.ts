import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { moment } from '../../../tests/stage/feeds.js';
import { countVoltage, noVoltageYet, type VoltageState } from './count-voltage.js';

const limits = { aboveVolts: 13.2, belowVolts: 12.9, holdMs: 60_000, silentAfterMs: 900_000 };

function countAll(samples: readonly (readonly [at: number, volts: number])[]) {
  let state: VoltageState = noVoltageYet;
  let totalSeconds = 0;
  for (const [at, volts] of samples) {
    const step = countVoltage(state, volts, { moment: moment(at), deviceAtMs: null }, limits, false);
    if (step.kind === 'refused') throw new Error('a sample is never refused here');
    state = step.state;
    totalSeconds += step.countedMs / 1000;
  }
  return { totalSeconds, isRunning: state.run.isRunning };
}

function samples(volts: readonly number[], every = 20): [number, number][] {
  return volts.map((value, i) => [every * i, value]);
}

describe('a battery voltage', () => {
  test('counts from the first sample above to the first below, once each has held', () => {
    // Above from 20 s on, below from 200 s on.
    const trace: [number, number][] = [
      [0, 12.6],
      [20, 14.1],
      [50, 14.2],
      [80, 14.2],
      [140, 14.1],
      [200, 12.8],
      [230, 12.7],
      [260, 12.7],
    ];
    expect(countAll(trace)).toEqual({ totalSeconds: 180, isRunning: false });
  });

  test('a surge shorter than the hold is no run', () => {
    expect(countAll(samples([12.6, 14.1, 14.2, 12.7, 12.6, 12.6]))).toEqual({ totalSeconds: 0, isRunning: false });
  });

  test('a dip shorter than the hold does not end a run', () => {
    const trace = samples([14, 14, 14, 14, 12.1, 12.2, 14, 14]);
    expect(countAll(trace)).toEqual({ totalSeconds: 140, isRunning: true });
  });

  test('between the two limits everything stays as it is', () => {
    expect(countAll(samples([13, 13, 13, 13, 13, 13])).totalSeconds).toBe(0);
    expect(countAll(samples([14, 14, 14, 14, 13, 13, 13])).totalSeconds).toBe(120);
  });

  test('a silence ends the run with its last sample', () => {
    const trace: [number, number][] = [
      [0, 14],
      [60, 14],
      [120, 14],
      [4000, 14],
      [4030, 14],
    ];
    expect(countAll(trace)).toEqual({ totalSeconds: 120, isRunning: false });
  });

  test('a battery that rests at 12.7 V for a month counts nothing', () => {
    const month = Array.from({ length: 4000 }, (_, i): [number, number] => [600 * i, 12.7]);
    expect(countAll(month).totalSeconds).toBe(0);
  });

  test('any samples count no more than passed', () => {
    const sample = fc.tuple(fc.integer({ min: 0, max: 1200 }), fc.double({ min: 11, max: 15, noNaN: true }));
    fc.assert(
      fc.property(fc.array(sample, { minLength: 1, maxLength: 80 }), (all) => {
        let at = 0;
        const trace = all.map(([wait, volts], i): [number, number] => {
          if (i > 0) at += wait;
          return [at, volts];
        });
        expect(countAll(trace).totalSeconds).toBeLessThanOrEqual(at);
      }),
    );
  });
});
