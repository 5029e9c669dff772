import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { moment, startMs } from '../../../tests/stage/feeds.js';
import { countRunning, type RunningState, standsStill, stopRunning } from './count-running.js';

const silentAfterMs = 900_000;

interface Word {
  readonly at: number;
  readonly says: boolean;
  readonly device?: number;
  readonly isRetained?: boolean;
}

function countAll(words: readonly Word[]) {
  let state: RunningState = standsStill;
  let totalSeconds = 0;
  for (const { at, says, device, isRetained = false } of words) {
    const sign = { moment: moment(at), deviceAtMs: device === undefined ? null : startMs + device * 1000 };
    const step = countRunning(state, says, sign, silentAfterMs, isRetained);
    if (step.kind === 'refused') throw new Error('a word is never refused here');
    state = step.state;
    totalSeconds += step.countedMs / 1000;
  }
  return { totalSeconds, state };
}

describe('a sensor that says runs or stands', () => {
  test('counts from a yes to the next no', () => {
    expect(
      countAll([
        { at: 0, says: true },
        { at: 600, says: false },
      ]).totalSeconds,
    ).toBe(600);
    expect(
      countAll([
        { at: 0, says: false },
        { at: 50, says: true },
        { at: 60, says: true },
        { at: 65, says: false },
      ]).totalSeconds,
    ).toBe(15);
  });

  test('counts to the last sign of life before a silence, and from the next yes on', () => {
    const { totalSeconds, state } = countAll([
      { at: 0, says: true },
      { at: 300, says: true },
      { at: 5000, says: true },
      { at: 5100, says: true },
    ]);
    expect(totalSeconds).toBe(400);
    expect(state.isRunning).toBe(true);
  });

  test('a no after a silence ends the run at its last sign of life', () => {
    expect(
      countAll([
        { at: 0, says: true },
        { at: 300, says: true },
        { at: 5000, says: false },
      ]).totalSeconds,
    ).toBe(300);
  });

  test('counts a backlog by the device’s own times', () => {
    const late = 7200;
    const { totalSeconds } = countAll([
      { at: 0, says: true, device: 0 },
      { at: late, says: true, device: 600 },
      { at: late, says: true, device: 1200 },
      { at: late, says: false, device: 1500 },
    ]);
    expect(totalSeconds).toBe(1500);
  });

  test('a run that was only not heard for a while goes on by the device’s own times, and one that fell silent does not', () => {
    let { state } = countAll([
      { at: 0, says: true, device: 0 },
      { at: 10, says: true, device: 10 },
    ]);
    // The broker was away for an hour; what the sensor kept comes at once.
    state = stopRunning(state);
    const come = (says: boolean, device: number | null) => {
      const deviceAtMs = device === null ? null : startMs + device * 1000;
      const step = countRunning(state, says, { moment: moment(3600), deviceAtMs }, silentAfterMs, false);
      if (step.kind === 'refused') throw new Error('a word is never refused here');
      return step;
    };
    expect(come(true, 20)).toMatchObject({ countedMs: 10_000, isChanged: true, state: { isRunning: true } });
    expect(come(false, 25)).toMatchObject({ countedMs: 15_000, state: { isRunning: false } });
    expect(come(true, 3590).countedMs).toBe(0);
    expect(come(true, null).countedMs).toBe(0);
  });

  test('a message overtaken by a later one changes nothing', () => {
    const { totalSeconds, state } = countAll([
      { at: 0, says: true, device: 0 },
      { at: 100, says: false, device: 100 },
      { at: 101, says: true, device: 50 },
    ]);
    expect(totalSeconds).toBe(100);
    expect(state.isRunning).toBe(false);
  });

  test('a device clock that leaps ahead counts no more than passed', () => {
    const { totalSeconds } = countAll([
      { at: 0, says: true, device: 0 },
      { at: 10, says: false, device: 800 },
    ]);
    expect(totalSeconds).toBeLessThanOrEqual(15);
  });

  test('a retained yes that comes again and again from a dead sensor counts nothing', () => {
    const words = Array.from({ length: 20 }, (_, i): Word => ({ at: 300 * i, says: true, isRetained: true }));
    expect(countAll(words).totalSeconds).toBe(0);
  });

  test('any words at any times count no more than passed, and never less than nothing', () => {
    const word = fc.record({ wait: fc.integer({ min: 0, max: 2000 }), says: fc.boolean(), isRetained: fc.boolean() });
    fc.assert(
      fc.property(fc.array(word, { minLength: 1, maxLength: 60 }), (all) => {
        let at = 0;
        let before = 0;
        const words = all.map(({ wait, says, isRetained }, i): Word => {
          if (i > 0) at += wait;
          return { at, says, isRetained };
        });
        for (let i = 1; i <= words.length; i += 1) {
          const { totalSeconds } = countAll(words.slice(0, i));
          expect(totalSeconds).toBeGreaterThanOrEqual(before);
          expect(totalSeconds).toBeLessThanOrEqual(words[i - 1]?.at ?? 0);
          before = totalSeconds;
        }
      }),
    );
  });

  test('losing messages between a yes and its no never adds time', () => {
    const kept = fc.array(fc.boolean(), { minLength: 30, maxLength: 30 });
    fc.assert(
      fc.property(kept, (isKept) => {
        const words = isKept.map((_, i): Word => ({ at: 30 * i, says: i < 29 }));
        const some = words.filter((_, i) => i === 0 || i === 29 || isKept[i]);
        expect(countAll(some).totalSeconds).toBeLessThanOrEqual(countAll(words).totalSeconds);
      }),
    );
  });
});
