import { dayMs, hourMs } from '../domain/day.js';
import type { CountedFrom } from '../domain/results/due.js';
import { hoursQuantiles } from './at.js';
import type { HoursEstimate } from './estimate.js';
import { layStarts, type Mixture, mixtureAt } from './law.js';
import { timeWithin } from './spans.js';
import { sliceWeights } from './strata.js';

/** An instant's place on a bridge is told by the middles of five equal parts of its law. */
const placeLevels = [0.1, 0.3, 0.5, 0.7, 0.9] as const;
/** Places closer together than this are one. Meters show tenths. */
const samePlaceHours = 0.05;

/** Where the meter probably stood at an instant, to count from it: the median as the evidence has it now.
 *  @param atMs  any instant
 *  @returns     never more than the median hours of any later instant
 *  Source: own design. */
export function countFrom(estimate: HoursEstimate, atMs: number): CountedFrom {
  return { atMs, hours: hoursQuantiles(estimate, atMs, [0.5])[0] ?? estimate.timeline.origin.hours };
}

/** The law of the hours as counted from an instant: what is said of it, and the use since then, Y(t) − Y(from). What is not known of the
 *  meter at that instant is not known now either, and cancels. From an instant after the newest reading on, the parts of the mixture lose what
 *  they expected until then; between two readings, the rise to the newer one that is still open joins the starts.
 *  @param from  any instant
 *  @returns     a function of an instant at or after both `from` and the newest reading (earlier is taken as the later of them)
 *  Source: own design; increments of the compound Poisson law, Jørgensen 1987. */
export function hoursCountedFrom(estimate: HoursEstimate, from: CountedFrom): (atMs: number) => Mixture {
  const { origin } = estimate.timeline;
  return from.atMs >= origin.atMs ? countedAhead(estimate, from) : countedFromPast(estimate, from);
}

function countedAhead(estimate: HoursEstimate, from: CountedFrom): (atMs: number) => Mixture {
  const { timeline, ratio, beliefs } = estimate;
  const then = mixtureAt(estimate, from.atMs);
  return (atMs) => {
    const untilMs = Math.max(atMs, from.atMs);
    const later = mixtureAt(estimate, untilMs);
    const mean = later.mean.map((hours, i) => Math.max(0, hours - (then.mean[i] ?? 0)));
    const phi = later.phi.map((whole, i) => {
      const own = beliefs[Math.floor(i / sliceWeights.length)]?.phi ?? whole;
      const all = later.mean[i] ?? 0;
      return all > 0 ? own + ((whole - own) * (mean[i] ?? 0)) / all : whole;
    });
    const seen = timeWithin(timeline.runs, from.atMs, untilMs) / hourMs;
    const sd = ratio.sd * seen;
    const middle = from.hours + ratio.mean * seen;
    const starts = layStarts(middle, sd);
    const openDays = Math.max(0, untilMs - from.atMs - timeWithin(timeline.known, from.atMs, untilMs)) / dayMs;
    const mostHours = Math.max(...starts.map((start) => start.hours + start.reach)) + 24 * openDays;
    return { starts, weight: later.weight, mean, phi, mostHours };
  };
}

function countedFromPast(estimate: HoursEstimate, from: CountedFrom): (atMs: number) => Mixture {
  const places = hoursQuantiles(estimate, from.atMs, placeLevels);
  const [low = from.hours, high = low] = [places[0], places.at(-1)];
  const shifts = high - low < samePlaceHours ? [0] : places.map((hours) => from.hours - hours);
  return (atMs) => {
    const now = mixtureAt(estimate, atMs);
    const starts = now.starts.flatMap((start) =>
      shifts.map((shift) => ({ ...start, weight: start.weight / shifts.length, hours: start.hours + shift })),
    );
    return { ...now, starts, mostHours: now.mostHours + Math.max(...shifts) };
  };
}
