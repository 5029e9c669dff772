import { dayMs, hourMs } from '../domain/day.js';
import { pSumAtLeast } from '../maths/compound-poisson.js';
import { firstReaching, lastAtMost } from '../maths/search.js';
import type { Belief, HoursEstimate } from './estimate.js';
import { timeWithin } from './spans.js';
import { layStrata, sliceWeights } from './strata.js';
import type { Timeline } from './timeline.js';
import { aboutVariance } from './windows.js';

/** Where the meter stands at an instant at or after the newest reading, before the uncertain use: one entry a node. */
interface Start {
  readonly weight: number;
  readonly hours: number;
  /** The meter stands anywhere within so many hours of `hours`, evenly; 0 where it is known. */
  readonly reach: number;
}

/** Where a normal variable is cut into even stretches, standard deviations: seven middles, this far apart. Three points alone made
 *  half of all quantiles of the hours now one number. */
const startStep = 0.75;
const startMiddles = [-3, -2, -1, 0, 1, 2, 3].map((i) => ({
  z: i * startStep,
  density: Math.exp(-0.5 * (i * startStep) ** 2),
}));
const startTotal = startMiddles.reduce((sum, middle) => sum + middle.density, 0);

/** Where the meter stands when it is known to be about normal around an amount.
 *  @param middle  hours
 *  @param sd      hours, >= 0; below 0.005 the middle alone
 *  @returns       weights that add up to 1; together a variance within 1 % of sd² */
export function layStarts(middle: number, sd: number): Start[] {
  if (sd < 0.005) return [{ weight: 1, hours: middle, reach: 0 }];
  return startMiddles.map(({ z, density }) => ({
    weight: density / startTotal,
    hours: middle + z * sd,
    reach: (startStep / 2) * sd,
  }));
}

/** The meter certainly does not stand below this.
 *  @returns  hours */
function lowestStart({ starts }: Mixture): number {
  return Math.min(...starts.map((start) => start.hours - start.reach));
}

/** The law of the use since the newest reading, at one instant: a mixture of compound Poisson sums, one for each belief and slice
 *  of its rate (all slices of the first belief, then of the second, …; strata.ts), in arrays because it is summed over thousands of times a look. */
export interface Mixture {
  readonly starts: readonly Start[];
  /** Weights of all parts add up to 1. */
  readonly weight: Float64Array;
  /** Expected hours since the newest reading. */
  readonly mean: Float64Array;
  /** φ of each part, hours. */
  readonly phi: Float64Array;
  /** The meter cannot stand above this: 24 h a day since the newest reading. */
  readonly mostHours: number;
}

/** How far into the cells after the origin an instant lies. */
interface Progress {
  readonly cell: number;
  /** Share of the cell's open time that has passed. */
  readonly share: number;
  /** Days after the last edge. */
  readonly beyondDays: number;
}

/** The mixture at one instant.
 *  @param atMs  at or after the newest reading; earlier is taken as the reading itself */
export function mixtureAt(estimate: HoursEstimate, atMs: number): Mixture {
  const { timeline, ratio, beliefs } = estimate;
  const { origin } = timeline;
  const progress = progressAt(timeline, atMs);
  const count = beliefs.length * sliceWeights.length;
  const weight = new Float64Array(count);
  const mean = new Float64Array(count);
  const phi = new Float64Array(count);
  let at = 0;
  for (const belief of beliefs) {
    const course = courseAt(belief, progress);
    layStrata(mean, phi, at, course.mean, course.relativeVariance, belief.phi);
    for (const share of sliceWeights) {
      weight[at] = belief.weight * share;
      at += 1;
    }
  }
  const seen = timeWithin(timeline.runs, origin.atMs, atMs) / hourMs;
  const middle = origin.hours + ratio.mean * seen;
  const sd = Math.sqrt((ratio.sd * seen) ** 2 + (origin.about ? aboutVariance(origin) : 0));
  const starts = layStarts(middle, sd);
  const most = Math.max(...starts.map((start) => start.hours + start.reach));
  // With a feed the clock allows 24 h a day in the gaps only; the seen hours stand in the start.
  const openDays = Math.max(0, atMs - origin.atMs - timeWithin(timeline.known, origin.atMs, atMs)) / dayMs;
  return { starts, weight, mean, phi, mostHours: most + 24 * openDays };
}

/** P(Y >= target) under a mixture; 1 up to the lowest start, 0 above what 24 h a day allow. */
export function pAtLeast(mixture: Mixture, targetHours: number): number {
  const { weight, mean, phi, starts } = mixture;
  const count = weight.length;
  const few = drawTogether(starts, targetHours);
  const isSmooth = (i: number) => few !== null && few.variance <= smoothShare * (mean[i] ?? 0) * (phi[i] ?? 1);
  let p = 0;
  for (const start of starts) {
    const amount = targetHours - start.hours;
    if (amount <= -start.reach) {
      p += start.weight;
      continue;
    }
    if (targetHours > mixture.mostHours) continue;
    // Of a stretch around the target the part above is there already; the rest has its own middle to go from.
    const isWithin = amount < start.reach;
    const there = isWithin ? (start.reach - amount) / (2 * start.reach) : 0;
    const open = isWithin ? (amount + start.reach) / 2 : amount;
    let above = 0;
    for (let i = 0; i < count; i += 1) {
      if (!isSmooth(i)) above += (weight[i] ?? 0) * pUseAtLeast(open, mean[i] ?? 0, phi[i] ?? 1);
    }
    p += start.weight * (there + (1 - there) * above);
  }
  if (few === null || targetHours > mixture.mostHours) return Math.min(1, p);
  for (let i = 0; i < count; i += 1) {
    if (!isSmooth(i)) continue;
    for (const { share, open } of few.nodes) {
      p += share * (weight[i] ?? 0) * pUseAtLeast(open, mean[i] ?? 0, phi[i] ?? 1);
    }
  }
  return Math.min(1, p);
}

/** Where the variance of the starts is at most this share of a part's own, three starts tell as much as seven. Against seven the chances
 *  were off by at most 0.001 for 20 000 random mixtures. */
const smoothShare = 0.2;

/** Three starts of the same mean and variance in place of many, where the meter certainly stands below the target.
 *  @returns  null where there are three or fewer, or the target may be reached already
 *  Source: Gauss-Hermite quadrature of three nodes, DLMF 3.5. */
function drawTogether(
  starts: readonly Start[],
  targetHours: number,
): { variance: number; nodes: { share: number; open: number }[] } | null {
  if (starts.length <= 3) return null;
  let middle = 0;
  for (const start of starts) middle += start.weight * start.hours;
  let variance = 0;
  for (const { weight, hours, reach } of starts) {
    if (targetHours - hours < reach) return null;
    variance += weight * ((hours - middle) ** 2 + reach ** 2 / 3);
  }
  const off = Math.sqrt(3 * variance);
  const open = targetHours - middle;
  if (open <= off) return null;
  const nodes = [
    { share: 1 / 6, open: open - off },
    { share: 2 / 3, open },
    { share: 1 / 6, open: open + off },
  ];
  return { variance, nodes };
}

/** P(use >= amount) under one part of a mixture.
 *  @param amount  hours; 0 or less gives 1
 *  @param mean    expected hours
 *  @param phi     φ, hours, > 0 */
export function pUseAtLeast(amount: number, mean: number, phi: number): number {
  if (amount <= 0) return 1;
  // More than nine deviations off is certain to far below the accuracy of the model.
  const reach = 9 * Math.sqrt(mean * phi);
  if (amount < mean - reach) return 1;
  return amount < mean + reach + 12 * phi ? pSumAtLeast(amount, mean, phi) : 0;
}

/** Quantiles of the meter under a mixture; equal to the newest reading where no use at all is likely enough.
 *  @param levels  each above 0 and below 1
 *  @returns       as many hours, in the order of the levels */
export function mixtureQuantiles(mixture: Mixture, levels: readonly number[]): number[] {
  const low = lowestStart(mixture);
  const top = Math.max(...levels);
  let high = low;
  let step = Math.max(
    0.5,
    mixture.weight.reduce((sum, weight, i) => sum + weight * (mixture.mean[i] ?? 0), 0),
  );
  // What one level asked about narrows the search for the next.
  const asked: { hours: number; p: number }[] = [];
  const below = (hours: number) => {
    const p = 1 - pAtLeast(mixture, hours + 1e-9);
    asked.push({ hours, p });
    return p;
  };
  const pLow = below(low);
  let pHigh = below(high);
  // pAtLeast is 0 past mostHours, so that this ends.
  while (high < mixture.mostHours && pHigh < top) {
    high = Math.min(mixture.mostHours, high + step);
    pHigh = below(high);
    step *= 2;
  }
  const order = levels.map((level, i) => ({ level, i })).sort((a, b) => a.level - b.level);
  const answers = new Array<number>(levels.length).fill(low);
  const tolerance = Math.min(0.01, Math.max(0.001, (high - low) * 1e-4));
  for (const { level, i } of order) {
    let under = { hours: low, p: pLow };
    let over = { hours: high, p: pHigh };
    for (const one of asked) {
      if (one.p < level && one.hours > under.hours) under = one;
      if (one.p >= level && one.hours < over.hours) over = one;
    }
    const found = firstReaching(below, level, under.hours, over.hours, tolerance, under.p, over.p);
    // Inside the chance of no use the quantile is the reading itself, not a hair above.
    const start = mixture.starts.find(
      (one) => one.reach === 0 && Math.abs(one.hours - found) <= tolerance && below(one.hours) >= level,
    );
    answers[i] = start === undefined ? found : start.hours;
  }
  return answers;
}

/** Expected use and its relative variance from the newest reading to an instant, under one belief. */
function courseAt(belief: Belief, progress: Progress): { mean: number; relativeVariance: number } {
  const { mean, relativeVariance } = belief.course;
  const { cell, share, beyondDays } = progress;
  const last = mean.length - 1;
  const from = mean[cell] ?? 0;
  const to = mean[cell + 1] ?? from;
  if (beyondDays > 0) {
    // Past the table the last year's pace goes on.
    const pace = ((mean[last] ?? 0) - (mean[last - 1] ?? 0)) / 360;
    return { mean: (mean[last] ?? 0) + pace * beyondDays, relativeVariance: relativeVariance[last] ?? 0 };
  }
  const r0 = relativeVariance[cell] ?? 0;
  const r1 = relativeVariance[cell + 1] ?? r0;
  return { mean: from + share * (to - from), relativeVariance: r0 + share * (r1 - r0) };
}

function progressAt(timeline: Timeline, atMs: number): Progress {
  const { edges, pastCells, origin } = timeline;
  const days = Math.max(0, (atMs - origin.atMs) / dayMs);
  const lastEdge = edges[edges.length - 1] ?? 0;
  if (days >= lastEdge) return { cell: edges.length - 1 - pastCells, share: 0, beyondDays: days - lastEdge + 1e-9 };
  const index = Math.max(pastCells, lastAtMost(edges, days));
  const from = edges[index] ?? 0;
  const to = edges[index + 1] ?? from + 1;
  const cell = index - pastCells;
  const fromMs = origin.atMs + from * dayMs;
  const toMs = origin.atMs + to * dayMs;
  const known = timeWithin(timeline.known, fromMs, toMs);
  if (known === 0) return { cell, share: (days - from) / (to - from), beyondDays: 0 };
  const open = toMs - fromMs - known;
  const passed = atMs - fromMs - timeWithin(timeline.known, fromMs, atMs);
  return { cell, share: open > 0 ? Math.max(0, Math.min(1, passed / open)) : 1, beyondDays: 0 };
}

/** Expected use since the newest reading, averaged over the beliefs; hours that a feed saw are in it.
 *  @param atMs  at or after the newest reading
 *  @returns     hours, >= 0 */
export function expectedUse(estimate: HoursEstimate, atMs: number): number {
  const progress = progressAt(estimate.timeline, atMs);
  const seen = timeWithin(estimate.timeline.runs, estimate.timeline.origin.atMs, atMs) / hourMs;
  return estimate.beliefs.reduce(
    (sum, belief) => sum + belief.weight * courseAt(belief, progress).mean,
    estimate.ratio.mean * seen,
  );
}
