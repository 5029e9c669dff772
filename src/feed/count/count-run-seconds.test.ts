import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { moment, startMs } from '../../../tests/stage/feeds.js';
import { countRunSeconds, noCounterYet, type RunSecondsState } from './count-run-seconds.js';
import type { Moment } from './moment.js';

/** Counts values that arrive at instants; answers the total in seconds and what was refused. */
function countAll(
  arrivals: readonly (readonly [at: number | Moment, value: number])[],
  from: RunSecondsState = noCounterYet,
) {
  let state = from;
  let totalSeconds = 0;
  const refused: number[] = [];
  for (const [at, value] of arrivals) {
    const step = countRunSeconds(state, value, typeof at === 'number' ? moment(at) : at);
    if (step.kind === 'refused') refused.push(value);
    else {
      expect(step.countedMs).toBeGreaterThanOrEqual(0);
      state = step.state;
      totalSeconds += step.countedMs / 1000;
    }
  }
  return { totalSeconds, refused, state };
}

describe('a run-seconds counter', () => {
  test('counts nothing for its first value and the difference of each rise', () => {
    expect(countAll([[0, 5000]]).totalSeconds).toBe(0);
    expect(
      countAll([
        [0, 5000],
        [10, 5010],
        [20, 5020],
        [3600, 5031],
      ]).totalSeconds,
    ).toBe(31);
  });

  test('counts a value once, however often it comes', () => {
    expect(
      countAll([
        [0, 100],
        [10, 110],
        [11, 110],
        [12, 110],
        [20, 120],
        [21, 120],
      ]).totalSeconds,
    ).toBe(20);
  });

  test('ignores a stale repeat, however late', () => {
    const { totalSeconds, refused } = countAll([
      [0, 5000],
      [10, 5010],
      [20, 5020],
      [21, 5000],
      [22, 5010],
      [30, 5030],
    ]);
    expect(totalSeconds).toBe(30);
    expect(refused).toEqual([]);
  });

  test('takes a fall for a restart when the new value fits the time since the last new maximum plus 60 s, and counts it', () => {
    expect(
      countAll([
        [0, 5000],
        [100, 5100],
        [200, 160],
      ]).totalSeconds,
    ).toBe(260);
    expect(
      countAll([
        [0, 5000],
        [100, 5100],
        [200, 161],
      ]).totalSeconds,
    ).toBe(100);
    expect(
      countAll([
        [0, 5000],
        [100, 5100],
        [160, 0],
        [170, 10],
      ]).totalSeconds,
    ).toBe(110);
  });

  test('counts every restart of several in full', () => {
    const arrivals: [number, number][] = [
      [0, 0],
      [60, 60],
      [120, 15],
      [180, 75],
      [240, 20],
      [300, 80],
      [360, 25],
    ];
    expect(countAll(arrivals).totalSeconds).toBe(60 + 15 + 60 + 20 + 60 + 25);
  });

  test('refuses a rise beyond the time that has passed plus 5 s, and goes on from before', () => {
    const { totalSeconds, refused } = countAll([
      [0, 100],
      [60, 166],
      [61, 165],
      [70, 170],
    ]);
    expect(refused).toEqual([166]);
    expect(totalSeconds).toBe(70);
  });

  test('counts a backlog that drains at once in full', () => {
    const backlog = Array.from({ length: 360 }, (_, i): [number, number] => [3600, 1010 + 10 * i]);
    const { totalSeconds, refused } = countAll([[0, 1000], ...backlog]);
    expect(refused).toEqual([]);
    expect(totalSeconds).toBe(3600);
  });

  test('counts a backlog that holds a restart, too', () => {
    const { totalSeconds } = countAll([
      [0, 1000],
      [3600, 1600],
      [3600, 30],
      [3600, 90],
      [3600, 150],
    ]);
    expect(totalSeconds).toBe(600 + 150);
  });

  test('does not count the old life again when its last value comes once more after a restart', () => {
    // Ten idle days have saved up an allowance that would pay for the jump.
    const day = 86_400;
    const { totalSeconds } = countAll([
      [0, 4000],
      [1000, 5000],
      [10 * day, 20],
      [10 * day + 10, 30],
      [10 * day + 11, 5000],
      [10 * day + 20, 40],
    ]);
    expect(totalSeconds).toBeLessThanOrEqual(1000 + 40 + 40);
    expect(totalSeconds).toBeGreaterThanOrEqual(1000 + 40);
  });

  test('recovers from a stale small value that looked like a restart', () => {
    const { totalSeconds } = countAll([
      [0, 10],
      [10_000, 10],
      [10_290, 300],
      [10_291, 10],
      [10_300, 310],
      [10_310, 320],
    ]);
    expect(totalSeconds).toBeLessThanOrEqual(310 + 10);
    expect(totalSeconds).toBeGreaterThanOrEqual(310);
  });

  test('a young counter whose last minute is delivered twice counts it once, and its restart is not missed', () => {
    const again = (state: RunSecondsState, value: number, at: number) =>
      countRunSeconds(state, value, moment(at), true);
    let { state, totalSeconds } = countAll([
      [0, 0],
      [10, 10],
      [20, 20],
      [30, 30],
    ]);
    for (const value of [10, 20, 30, 40]) {
      const step = again(state, value, 41);
      if (step.kind === 'refused') throw new Error(step.refused.reason);
      state = step.state;
      totalSeconds += step.countedMs / 1000;
    }
    expect(totalSeconds).toBe(40);
    // The first value after the restart was delivered twice, and first seen the second time.
    const restart = again(state, 5, 60);
    expect(restart).toMatchObject({ kind: 'counted', countedMs: 0 });
    expect(countAll([[70, 15]], state).totalSeconds).toBe(15);
  });

  test('a counter that overtakes its earlier life goes on counting from where it stands', () => {
    // The old life ended at 380 s, the new one was seen to run in step, and reports reach us in bursts.
    const { totalSeconds } = countAll([
      [0, 370],
      [10, 380],
      [2000, 10],
      [2100, 100],
      [2101, 102],
      [2102, 370],
      [2500, 500],
      [2501, 700],
    ]);
    expect(totalSeconds).toBe(10 + 700);
  });

  test('the last values of the life before, marked as sent before, do not count as a rise', () => {
    let { state, totalSeconds } = countAll([
      [0, 80],
      [20, 100],
      [25, 105],
      [400, 10],
      [411, 21],
    ]);
    for (const value of [100, 105, 10, 21]) {
      const step = countRunSeconds(state, value, moment(412), true);
      if (step.kind === 'refused') throw new Error(step.refused.reason);
      state = step.state;
      totalSeconds += step.countedMs / 1000;
    }
    expect(totalSeconds).toBe(25 + 21);
    expect(countAll([[430, 38]], state).totalSeconds).toBe(17);
  });

  test('the device’s own time tells a repeat from a restart, and a restart from a repeat', () => {
    const told = (from: RunSecondsState, at: number, value: number, device: number, isAgain = false) => {
      const step = countRunSeconds(from, value, moment(at), isAgain, startMs + device * 1000);
      if (step.kind === 'refused') throw new Error(step.refused.reason);
      return step;
    };
    let { state } = told(noCounterYet, 0, 0, 0);
    for (const at of [10, 20, 30]) ({ state } = told(state, at, at, at));
    // A broker that lost its memory sends all once more, unmarked.
    for (const old of [10, 20, 30]) expect(told(state, 300, old, old).countedMs).toBe(0);
    // A restart that is delivered again after it was lost on the way.
    expect(told(state, 300, 12, 200, true).countedMs).toBe(12_000);
    // The life before comes again after the restart.
    ({ state } = told(state, 300, 12, 200));
    expect(told(state, 301, 30, 30).countedMs).toBe(0);
  });

  test('counts at once after a start with a wrong clock, when no clock can tell how long it has been', () => {
    const past: Moment = { atMs: Date.UTC(2019, 0, 1), monotonicMs: 4_000, boot: 'second', believable: false };
    const { totalSeconds, refused } = countAll([
      [0, 1000],
      [past, 8000],
    ]);
    expect(refused).toEqual([]);
    expect(totalSeconds).toBe(7000);
  });

  test('any loss, order and repetition of a counter that never restarts counts the rise from the first value to the highest', () => {
    const values = fc.array(fc.integer({ min: 0, max: 200 }), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(values, (ticks) => {
        // Far from zero, so that no fall can look like a restart; each arrival late enough for all that was counted.
        const arrivals = ticks.map((tick, i): [number, number] => [2000 * i, 1_000_000 + 10 * tick]);
        const { totalSeconds, refused } = countAll(arrivals);
        expect(refused).toEqual([]);
        expect(totalSeconds).toBe(10 * (Math.max(...ticks) - (ticks[0] ?? 0)));
      }),
    );
  });

  test('never counts more than the time since the first value, 5 s, and 60 s for each fall', () => {
    const arrival = fc.record({ wait: fc.integer({ min: 0, max: 5000 }), value: fc.integer({ min: 0, max: 20_000 }) });
    fc.assert(
      fc.property(fc.array(arrival, { minLength: 2, maxLength: 80 }), (all) => {
        let at = 0;
        let falls = 0;
        const arrivals = all.map(({ wait, value }, i): [number, number] => {
          if (i > 0) at += wait;
          if (i > 0 && value < (all[i - 1]?.value ?? 0)) falls += 1;
          return [at, value];
        });
        expect(countAll(arrivals).totalSeconds).toBeLessThanOrEqual(at + 5 + 60 * falls);
      }),
    );
  });

  test('a life with restarts, delivered late, repeated and with losses, counts no more than truly ran', () => {
    const report = fc.record({
      runs: fc.integer({ min: 0, max: 60 }),
      idles: fc.integer({ min: 0, max: 600 }),
      restarts: fc.boolean(),
      isLost: fc.boolean(),
      repeats: fc.integer({ min: 0, max: 2 }),
    });
    fc.assert(
      fc.property(fc.array(report, { minLength: 1, maxLength: 60 }), (reports) => {
        let at = 0;
        let counter = 0;
        let truth = 0;
        const arrivals: [number, number][] = [[0, 0]];
        for (const { runs, idles, restarts, isLost, repeats } of reports) {
          if (restarts) counter = 0;
          counter += runs;
          truth += runs;
          at += runs + idles + 1;
          if (!isLost) for (let i = 0; i <= repeats; i += 1) arrivals.push([at, counter]);
        }
        expect(countAll(arrivals).totalSeconds).toBeLessThanOrEqual(truth);
      }),
    );
  });
});
