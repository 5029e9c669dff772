import type { ForecastCase } from '../../forecast/compute.js';
import { estimateHours, type HoursEstimate } from '../../hours/estimate.js';
import { arrangeEvidence, type Evidence } from '../../hours/evidence.js';

/** The hours model on one question, where a score looks at more than the answer says.
 *  @param meterRatioKnown  true: the runs are in meter hours already */
export function estimateFor(question: ForecastCase, meterRatioKnown: boolean): HoursEstimate | null {
  return estimateHours(evidenceFor(question, meterRatioKnown), question.nowMs);
}

/** What is known in one question, arranged for the hours model. Parameters as `estimateFor`. */
export function evidenceFor(question: ForecastCase, meterRatioKnown: boolean): Evidence {
  return arrangeEvidence({
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
}
