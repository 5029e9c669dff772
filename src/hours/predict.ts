import { dayMs } from '../domain/day.js';
import { solveLower } from '../maths/cholesky.js';
import { dot } from '../maths/dense.js';
import { gapRelativeVariance, nearby } from './constants.js';
import type { FeedRates } from './feed-rates.js';
import type { Fit, WindowTable } from './fit.js';
import { gapsBetween } from './spans.js';
import type { Timeline } from './timeline.js';

/** What is still open in each cell after the origin: days whose use the fit decides, hours that nearby days of the feed explain. */
export interface Ahead {
  readonly fittedDays: Float64Array;
  readonly nearbyHours: Float64Array;
}

/** Use after the origin under one setting: mean and relative variance up to each edge. */
export interface Course {
  /** Expected hours up to each edge from the origin on; starts with 0. */
  readonly mean: Float64Array;
  /** Variance of the mean over its square at each edge. */
  readonly relativeVariance: Float64Array;
}

/** Splits the time after the origin: covered time is known, gaps lean on the feed's days around them, the rest is the fit's.
 *  @param ratio  meter hours per feed hour */
export function lookAtGaps(timeline: Timeline, rates: FeedRates | null, ratio: number): Ahead {
  const { edges, pastCells, origin } = timeline;
  const cells = edges.length - 1 - pastCells;
  const fittedDays = new Float64Array(cells);
  const nearbyHours = new Float64Array(cells);
  for (let i = 0; i < cells; i += 1) {
    const fromMs = origin.atMs + (edges[pastCells + i] ?? 0) * dayMs;
    const toMs = origin.atMs + (edges[pastCells + i + 1] ?? 0) * dayMs;
    if (fromMs >= timeline.evidenceEndMs) {
      fittedDays[i] = (toMs - fromMs) / dayMs;
      continue;
    }
    for (const gap of gapsBetween(timeline.knownSpans, fromMs, Math.min(toMs, timeline.evidenceEndMs))) {
      for (let atMs = gap.fromMs; atMs < gap.toMs; atMs += dayMs) {
        const days = (Math.min(gap.toMs, atMs + dayMs) - atMs) / dayMs;
        const near = rates?.around(atMs + (days * dayMs) / 2) ?? { coveredDays: 0, runHours: 0 };
        const total = near.coveredDays + nearby.fittedDays;
        nearbyHours[i] = (nearbyHours[i] ?? 0) + (days * ratio * near.runHours) / total;
        fittedDays[i] = (fittedDays[i] ?? 0) + (days * nearby.fittedDays) / total;
      }
    }
    fittedDays[i] = (fittedDays[i] ?? 0) + Math.max(0, toMs - timeline.evidenceEndMs) / dayMs;
  }
  return { fittedDays, nearbyHours };
}

/** The course of use after the origin: f ~ N(μ + K Gᵀa, K − K Gᵀ(S + V)⁻¹G K), rate exp(f) at most 24 h a day, and
 *  Var_j = ΣΣ r_c r_d (exp(C_cd) − 1) over the cells up to each edge.
 *  @param mean    μ of the cells after the origin
 *  @param own     K among those cells
 *  @param cross   K between those cells (rows) and the fitted ones (columns)
 *  @param fit     null: the prior alone */
export function predictCourse(
  ahead: Ahead,
  mean: Float64Array,
  own: Float64Array,
  cross: Float64Array,
  fit: Fit | null,
  table: WindowTable,
): Course {
  const cells = mean.length;
  const n = table.windows.length;
  const learnt = fit === null ? null : learn(cells, cross, fit, table);
  const rate = new Float64Array(cells);
  const course = { mean: new Float64Array(cells + 1), relativeVariance: new Float64Array(cells + 1) };
  let variance = 0;
  let nearbyHours = 0;
  const most = Math.log(24);
  for (let c = 0; c < cells; c += 1) {
    let across = 0;
    let ownVariance = 0;
    for (let d = 0; d <= c; d += 1) {
      let covariance = own[c * cells + d] ?? 0;
      if (learnt !== null) covariance -= dot(learnt.explained, c * n, learnt.explained, d * n, n);
      if (d < c) across += (rate[d] ?? 0) * Math.expm1(Math.min(4, Math.max(-6, covariance)));
      else ownVariance = Math.min(6, Math.max(0, covariance));
    }
    const f = (mean[c] ?? 0) + (learnt?.shift[c] ?? 0);
    const hours = (ahead.fittedDays[c] ?? 0) * Math.exp(Math.min(f + ownVariance / 2, most));
    rate[c] = hours;
    variance += 2 * hours * across + hours * hours * Math.expm1(Math.min(4, ownVariance));
    nearbyHours += ahead.nearbyHours[c] ?? 0;
    const total = (course.mean[c] ?? 0) + hours + (ahead.nearbyHours[c] ?? 0);
    course.mean[c + 1] = total;
    const spread = Math.max(0, variance) + gapRelativeVariance * nearbyHours ** 2;
    course.relativeVariance[c + 1] = total > 0 ? spread / (total * total) : 0;
  }
  course.relativeVariance[0] = course.relativeVariance[1] ?? 0;
  return course;
}

/** K_fp Gᵀ a and the rows L⁻¹ G K_pf, cell by cell. */
function learn(
  cells: number,
  cross: Float64Array,
  fit: Fit,
  table: WindowTable,
): { shift: Float64Array; explained: Float64Array } {
  const n = table.windows.length;
  const shift = new Float64Array(cells);
  const explained = new Float64Array(cells * n);
  for (let c = 0; c < cells; c += 1) {
    table.windows.forEach((window, i) => {
      explained[c * n + i] = dot(
        cross,
        c * table.cells + window.firstCell,
        fit.slopes,
        table.starts[i] ?? 0,
        window.days.length,
      );
    });
    shift[c] = dot(explained, c * n, fit.pull, 0, n);
    solveLower(fit.factor, n, explained, c * n);
  }
  return { shift, explained };
}
