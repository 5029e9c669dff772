import type { Expectation } from '../../src/domain/machine.js';
import { estimateHours, type HoursEstimate } from '../../src/hours/estimate.js';
import { arrangeEvidence } from '../../src/hours/evidence.js';

/** The hours model on readings of one meter and what its owner expects of a year, with nothing else known. */
export function estimateReadings(
  readings: readonly { readonly atMs: number; readonly hours: number }[],
  expect: Expectation,
  nowMs: number,
): HoursEstimate {
  const estimate = estimateHours(
    arrangeEvidence({
      readings: readings.map(({ atMs, hours }) => ({ atMs, hours, about: false })),
      changes: [],
      runs: [],
      coverage: [],
      notUsed: [],
      meterRatioKnown: false,
      meterCounts: 'clock',
      expect,
      hemisphere: 'north',
    }),
    nowMs,
  );
  if (estimate === null) throw new Error('no estimate');
  return estimate;
}
