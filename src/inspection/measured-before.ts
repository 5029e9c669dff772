import type { ServiceRecord } from '../domain/facts.js';
import { Fault } from '../domain/fault.js';
import type { Household } from '../domain/household.js';
import { readLimits } from '../domain/limits.js';
import { convertDifference, parseQuantity } from '../domain/quantity.js';
import type { Measurement } from '../domain/task.js';
import { unitOfTools } from '../domain/us-units.js';
import { judge } from './judge.js';
import { sayNumber } from './say-limits.js';
import { fitTrend, hoursAtLimit, predictValue, studentQuantile, type Trend, type TrendPoint } from './trend.js';

/** How the values of one measurement at one place went on since it was last set. */
export interface MeasuredTrend {
  readonly task: string;
  readonly measurement: string;
  readonly place: string | null;
  readonly values: number;
  /** When the line passes a limit, meter hours; null where it does not, or where the drift is within the scatter. */
  readonly outAtHours: number | null;
  /** From when on it may be out, one chance in ten; at most `outAtHours`. */
  readonly mayBeOutAtHours: number | null;
  /** One sentence for a person. */
  readonly text: string;
}

/** Chance that the next value lies in the band; what is said of a drift is as sure. */
const chance = 0.8;
/** A limit further ahead than this many times the hours watched so far is not spoken of. */
const furthest = 5;

/** The trends of one measurement, one for each place with at least three values at known hours. A value as left that differs from
 *  the one as found, and an outcome `replaced`, begin anew: what was set or new says nothing of what was worn.
 *  @param task     id of the measurement's task
 *  @param records  of the machine, voided ones left out; sorted by day here; values that cannot be read are passed over
 *  @param units    the household's: the drift is said in what its own tools show
 *  @returns  [] for looks, levels, tests and values to set
 *  Source: common practice, no source; for the line and its band see trend.ts. */
export function measuredTrends(
  task: string,
  measurement: Measurement,
  records: readonly ServiceRecord[],
  units: Household['units'] = 'metric',
): readonly MeasuredTrend[] {
  const { specification } = measurement;
  switch (specification.kind) {
    case 'look':
    case 'level':
    case 'test':
    case 'setTo':
      return [];
    default:
      break;
  }
  const { unit, min, max } = readLimits(specification);
  const step =
    measurement.resolution === undefined || specification.kind === 'lookup' || unit === ''
      ? 0
      : convertDifference(parseQuantity(measurement.resolution, undefined, unit), unit);
  return (measurement.places ?? [null]).flatMap((place) => {
    const points = sinceSet(task, measurement, place, records);
    const trend = fitTrend(points);
    const last = points.at(-1);
    if (trend === null || last === undefined) return [];
    const out = outAhead(trend, { min, max }, points, step);
    const drift = sayDrift(trend, step, unit, units);
    const ends =
      out === null
        ? ''
        : out.at <= last.hours
          ? ', and by its line it is at its limit now'
          : `; likely out of range at about ${whole(out.at)} h${out.from < out.at - 1 ? `, perhaps from ${whole(out.from)} h on` : ''}`;
    return [
      {
        task,
        measurement: measurement.id,
        place,
        values: points.length,
        outAtHours: out?.at ?? null,
        mayBeOutAtHours: out?.from ?? null,
        text: `${points.length} values since ${whole(points[0]?.hours ?? 0)} h: ${drift}${ends}.`,
      },
    ];
  });
}

function sinceSet(
  task: string,
  { id, specification }: Measurement,
  place: string | null,
  records: readonly ServiceRecord[],
): readonly TrendPoint[] {
  const readValue = (text: string): number | null => {
    try {
      return judge(specification, specification.kind === 'difference' ? text.split(';') : text).value;
    } catch (failure) {
      // The plan may have changed its unit since: such a value belongs to no line.
      if (failure instanceof Fault) return null;
      throw failure;
    }
  };
  let points: TrendPoint[] = [];
  const inTime = [...records].sort((a, b) =>
    a.day === b.day ? a.enteredAtMs - b.enteredAtMs : a.day < b.day ? -1 : 1,
  );
  for (const { findings, hours } of inTime) {
    const own = findings.filter((finding) => finding.task === task);
    for (const finding of own.filter((one) => one.measurement === id && one.place === place)) {
      if (hours === null) continue;
      const found = finding.found === null ? null : readValue(finding.found);
      const left = finding.left === null ? null : readValue(finding.left);
      if (found !== null) points.push({ hours, value: found });
      if (left !== null && left !== found) points = [{ hours, value: left }];
    }
    if (own.some(({ measurement, found }) => measurement === 'outcome' && found === 'replaced')) {
      points = points.filter((point) => point.hours === hours).slice(-1);
    }
  }
  return points;
}

interface Ahead {
  readonly at: number;
  readonly from: number;
}

function outAhead(
  trend: Trend,
  limits: { readonly min: number | null; readonly max: number | null },
  points: readonly TrendPoint[],
  step: number,
): Ahead | null {
  if (!isDrift(trend, step)) return null;
  const hours = points.map((point) => point.hours);
  const last = Math.max(...hours);
  const at = hoursAtLimit(trend, limits, last);
  if (at === null || at - last > furthest * (last - Math.min(...hours))) return null;
  const steps = 200;
  for (let walked = 0; walked < steps; walked += 1) {
    const from = last + ((at - last) * walked) / steps;
    const { low, high } = predictValue(trend, from, chance, step);
    if ((limits.max !== null && high > limits.max) || (limits.min !== null && low < limits.min)) return { at, from };
  }
  return { at, from: at };
}

/** Whether the slope is more than scatter and the instrument's step would make of values that stay the same. */
function isDrift({ slopePerHour, residual, spreadOfHours, count }: Trend, step: number): boolean {
  const deviation = Math.max(residual, step / Math.sqrt(12)) / Math.sqrt(spreadOfHours);
  return Math.abs(slopePerHour) > studentQuantile((1 + chance) / 2, count - 2) * deviation;
}

function sayDrift(trend: Trend, step: number, unit: string, units: Household['units']): string {
  if (!isDrift(trend, step)) return 'no clear drift';
  const own = unitOfTools(unit, units);
  const slope = Math.abs(trend.slopePerHour) * 100;
  const inOwn = own === unit ? slope : convertDifference({ ...parseQuantity(`1 ${unit}`), value: slope }, own);
  return `about ${sayNumber(Number(inOwn.toPrecision(2)))} ${own} ${trend.slopePerHour > 0 ? 'more' : 'less'} every 100 h`;
}

function whole(hours: number): string {
  return String(Math.round(hours));
}
