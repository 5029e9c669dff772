import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import { measuredTrends } from '../inspection/measured-before.js';

/** One measurement that drifts, in words. */
export interface DriftSeen {
  readonly task: string;
  /** What is measured, with its place. */
  readonly name: string;
  readonly text: string;
  readonly outAtHours: number;
}

/** What drifts towards its limit on a machine, the nearest first.
 *  @param units  the household's, for what is said
 *  @returns  only what is likely to pass a limit; [] where nothing does
 *  Source: common practice, no source; see inspection/measured-before.ts. */
export function driftsOf(
  { tasks }: Machine,
  { records }: MachineFacts,
  units: Household['units'],
): readonly DriftSeen[] {
  return tasks
    .flatMap((task) =>
      task.measure.flatMap((measurement) =>
        measuredTrends(task.id, measurement, records, units).flatMap(({ place, text, outAtHours }) =>
          outAtHours === null
            ? []
            : [
                {
                  task: task.id,
                  name: place === null ? measurement.name : `${measurement.name}, ${place}`,
                  text,
                  outAtHours,
                },
              ],
        ),
      ),
    )
    .sort((a, b) => a.outAtHours - b.outAtHours);
}
