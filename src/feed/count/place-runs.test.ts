import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Span } from '../../domain/facts.js';
import { nothingPlaced, placeRun, placeWaiting } from './place-runs.js';

/** Places every piece; answers all runs, the open one last. */
function placeAll(pieces: readonly { readonly lengthMs: number; readonly endMs: number | null }[]) {
  let placing = nothingPlaced;
  const runs: Span[] = [];
  for (const { lengthMs, endMs } of pieces) {
    const step = placeRun(placing, lengthMs, endMs);
    placing = step.placing;
    if (step.closed !== null) runs.push(step.closed);
  }
  return { placing, runs: placing.open === null ? runs : [...runs, placing.open] };
}

const length = (runs: readonly Span[]) => runs.reduce((sum, run) => sum + run.toMs - run.fromMs, 0);

describe('the place of a run in time', () => {
  test('a counter that grows in step with time is one run', () => {
    const pieces = Array.from({ length: 720 }, (_, i) => ({ lengthMs: 10_000, endMs: 1e6 + 10_000 * i }));
    expect(placeAll(pieces).runs).toEqual([{ fromMs: 990_000, toMs: 990_000 + 7_200_000 }]);
  });

  test('a pause of more than two minutes makes two runs', () => {
    const { runs } = placeAll([
      { lengthMs: 10_000, endMs: 1_000_000 },
      { lengthMs: 10_000, endMs: 1_200_000 },
    ]);
    expect(runs).toEqual([
      { fromMs: 990_000, toMs: 1_000_000 },
      { fromMs: 1_190_000, toMs: 1_200_000 },
    ]);
  });

  test('a backlog that arrives at once reaches back as far as it is long, but not into the run before', () => {
    const backlog = Array.from({ length: 360 }, () => ({ lengthMs: 10_000, endMs: 5_000_000 }));
    const { runs } = placeAll([{ lengthMs: 10_000, endMs: 1_000_000 }, ...backlog]);
    expect(runs).toEqual([
      { fromMs: 990_000, toMs: 1_000_000 },
      { fromMs: 1_400_000, toMs: 5_000_000 },
    ]);
    const tooMuch = Array.from({ length: 500 }, () => ({ lengthMs: 10_000, endMs: 5_000_000 }));
    expect(placeAll([{ lengthMs: 10_000, endMs: 1_000_000 }, ...tooMuch]).runs.at(-1)).toEqual({
      fromMs: 1_000_000,
      toMs: 5_000_000,
    });
  });

  test('what was counted under a wrong clock waits, and is placed with the first believable one', () => {
    const { placing, runs } = placeAll([
      { lengthMs: 60_000, endMs: null },
      { lengthMs: 30_000, endMs: null },
    ]);
    expect(runs).toEqual([]);
    expect(placeWaiting(placing, 1e9).placing.open).toEqual({ fromMs: 1e9 - 90_000, toMs: 1e9 });
  });

  test('what finds no room behind the run before is placed in the next idle time, and once only', () => {
    const { placing } = placeAll([
      { lengthMs: 10_000, endMs: 1_000_000 },
      { lengthMs: 10_000, endMs: 1_400_000 },
      { lengthMs: 490_000, endMs: 1_400_000 },
    ]);
    expect(placing).toMatchObject({ open: { fromMs: 1_000_000, toMs: 1_400_000 }, unplacedMs: 100_000 });
    const later = placeWaiting(placing, 1_430_000).placing;
    expect(later).toMatchObject({ open: { toMs: 1_430_000 }, unplacedMs: 70_000 });
    expect(placeWaiting(later, 1_430_000).placing).toBe(later);
    const last = placeWaiting(later, 1_600_000).placing;
    expect(last.unplacedMs).toBe(0);
    expect(placeWaiting(last, 1_700_000).placing).toBe(last);
  });

  test('nothing that was counted is lost, in whatever order and however late it comes', () => {
    const piece = fc.record({
      waitMs: fc.integer({ min: -400_000, max: 500_000 }),
      lengthMs: fc.integer({ min: 0, max: 600_000 }),
      isKnown: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 60 }), (all) => {
        let endMs = 10_000_000;
        const pieces = all.map(({ waitMs, lengthMs, isKnown }) => {
          endMs += waitMs;
          return { lengthMs, endMs: isKnown ? endMs : null };
        });
        const { runs, placing } = placeAll(pieces);
        expect(length(runs) + placing.unplacedMs).toBe(all.reduce((sum, { lengthMs }) => sum + lengthMs, 0));
        expect(placing.unplacedMs).toBeGreaterThanOrEqual(0);
        for (const [i, run] of runs.entries()) {
          expect(run.toMs).toBeGreaterThan(run.fromMs);
          expect(run.fromMs).toBeGreaterThanOrEqual(runs[i - 1]?.toMs ?? 0);
        }
      }),
    );
  });

  test('runs never overlap and are as long together as what was counted, where time left room for it', () => {
    const piece = fc.record({
      waitMs: fc.integer({ min: 0, max: 500_000 }),
      share: fc.double({ min: 0, max: 1, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 60 }), (all) => {
        let endMs = 1_000_000;
        let total = 0;
        const pieces = all.map(({ waitMs, share }) => {
          endMs += waitMs;
          const lengthMs = Math.floor(waitMs * share);
          total += lengthMs;
          return { lengthMs, endMs };
        });
        const { runs } = placeAll(pieces);
        expect(length(runs)).toBe(total);
        for (const [i, run] of runs.entries()) expect(run.fromMs).toBeGreaterThanOrEqual(runs[i - 1]?.toMs ?? 0);
        expect(runs.at(-1)?.toMs ?? 0).toBeLessThanOrEqual(endMs);
      }),
    );
  });
});
