import { expect, test } from 'vitest';
import { judgeClock } from './believe-clock.js';

const build = Date.UTC(2030, 0, 1);
const fresh = { newestMs: 0, outSinceMonotonicMs: null };
const isOut = (belief: { outSinceMonotonicMs: number | null }) => belief.outSinceMonotonicMs !== null;

test('a clock before the day of the build is not believed', () => {
  expect(isOut(judgeClock(fresh, Date.UTC(2019, 0, 1), 0, build))).toBe(true);
  expect(isOut(judgeClock(fresh, build, 0, build))).toBe(false);
});

test('a clock behind what was kept last is waited out, and believed once it is past it', () => {
  const kept = judgeClock(fresh, build + 3_600_000, 0, build);
  const back = judgeClock(kept, build, 1_000, build);
  expect(isOut(back)).toBe(true);
  expect(isOut(judgeClock(back, build + 3_599_000, 2_000, build))).toBe(false);
});

test('a step back of a few seconds is nothing', () => {
  expect(isOut(judgeClock({ newestMs: build + 5_000, outSinceMonotonicMs: null }, build, 0, build))).toBe(false);
});

test('an instant that a clock far ahead once stamped does not stop coverage for ever', () => {
  const day = 86_400_000;
  let belief = judgeClock({ newestMs: build + 3650 * day, outSinceMonotonicMs: null }, build, 0, build);
  expect(isOut(belief)).toBe(true);
  belief = judgeClock(belief, build + 6 * day, 6 * day, build);
  expect(isOut(belief)).toBe(true);
  belief = judgeClock(belief, build + 7 * day, 7 * day, build);
  expect(isOut(belief)).toBe(false);
  expect(belief.newestMs).toBe(build + 7 * day);
});
