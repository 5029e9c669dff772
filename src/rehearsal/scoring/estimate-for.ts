import type { ForecastCase } from '../../forecast/compute.js';
import { estimateHours, type HoursEstimate } from '../../hours/estimate.js';
import { arrangeEvidence } from '../../hours/evidence.js';

/** The hours model on one question, where a score looks at more than the answer says.
 *  @param meterRatioKnown  true: the runs are in meter hours already */
export function estimateFor(question: ForecastCase, meterRatioKnown: boolean): HoursEstimate | null {
  const evidence = arrangeEvidence({
    readings: question.readings.map(({ atMs, hours }) => ({ atMs, hours, about: false })),
    changes: question.meters,
    runs: question.runs,
    coverage: question.coverage,
    notUsed: [],
    meterRatioKnown,
    meterCounts: 'engine-speed',
    expect: question.expect,
    hemisphere: question.hemisphere,
  });
  return estimateHours(evidence, question.nowMs);
}
