import { expect, test } from 'vitest';
import { dayMs } from '../domain/day.js';
import { seasonWords } from '../domain/machine.js';
import { hoursQuantiles } from './at.js';
import { estimateHours } from './estimate.js';
import { arrangeEvidence } from './evidence.js';
import { settingsFor } from './settings.js';

const nowMs = Date.UTC(2031, 3, 2);

/** Width of the 80 % span of the hours a quarter ahead, over the hours expected in it, of a machine read every month for two years. */
function spanOf(hoursInMonth: (month: number) => number): number {
  let hours = 100;
  const readings = Array.from({ length: 25 }, (_, i) => {
    hours += i === 0 ? 0 : hoursInMonth(i);
    return { atMs: nowMs - (24 - i) * 30 * dayMs, hours: Math.round(hours * 10) / 10, about: false };
  });
  const estimate = estimateHours(
    arrangeEvidence({
      readings,
      changes: [],
      runs: [],
      coverage: [],
      notUsed: [],
      meterRatioKnown: false,
      meterCounts: 'clock',
      expect: { season: 'unknown' },
      hemisphere: 'north',
    }),
    nowMs,
  );
  if (estimate === null) throw new Error('no estimate');
  const [low = 0, middle = 0, high = 0] = hoursQuantiles(estimate, nowMs + 90 * dayMs, [0.1, 0.5, 0.9]);
  return (high - low) / (middle - (readings.at(-1)?.hours ?? 0));
}

test('a machine that runs the same hours every day has a narrow span, one that does not a wide one', () => {
  const pump = spanOf(() => 60);
  expect(pump).toBeLessThan(0.25);
  expect(spanOf((month) => (month % 3 === 0 ? 150 : 15))).toBeGreaterThan(3 * pump);
});

test.each(seasonWords)('%s: the weights of the settings, and of the bursts of each, add up to 1', (word) => {
  const sum = (list: readonly { readonly prior: number }[]) => list.reduce((total, one) => total + one.prior, 0);
  const settings = settingsFor(word);
  expect(sum(settings)).toBeCloseTo(1, 12);
  for (const { bursts } of settings) expect(sum(bursts)).toBeCloseTo(1, 12);
});
