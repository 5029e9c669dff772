import { cellDays, daysPerYear, drift, yearly } from './constants.js';
import type { Timeline } from './timeline.js';

/** The covariance of the log rate, tabled in half cells: k(d) = σ0² + σs²·yearly(d) + share·σd²·drift(d),
 *  yearly(d) = exp(−2 sin²(π d/365.25)/ℓ² − d/τs), drift(d) = exp(−d/τd). */
export interface KernelTable {
  readonly yearly: Float64Array;
  readonly drift: Float64Array;
  /** Middle of each cell in half cells from the origin, rounded for the stretched one. */
  readonly middles: Int32Array;
}

const halfCell = cellDays / 2;

/** How far a machine's rate may wander from its season's course. */
export interface Wander {
  /** σs: standard deviation of the yearly course around the season's. */
  readonly seasonSd: number;
  /** Share of the drift's variance σd², 0 to 1. */
  readonly driftShare: number;
}

/** Tables for every distance that occurs on a timeline. */
export function tableKernel(timeline: Timeline): KernelTable {
  const { edges } = timeline;
  const cells = edges.length - 1;
  const middles = new Int32Array(cells);
  for (let i = 0; i < cells; i += 1) middles[i] = Math.round(((edges[i] ?? 0) + (edges[i + 1] ?? 0)) / 2 / halfCell);
  const reach = (middles[cells - 1] ?? 0) - (middles[0] ?? 0) + 1;
  const season = new Float64Array(reach);
  const slow = new Float64Array(reach);
  for (let i = 0; i < reach; i += 1) {
    const days = i * halfCell;
    season[i] = Math.exp(
      (-2 * Math.sin((Math.PI * days) / daysPerYear) ** 2) / yearly.length ** 2 - days / yearly.memoryDays,
    );
    slow[i] = drift.sd ** 2 * Math.exp(-days / drift.memoryDays);
  }
  return { yearly: season, drift: slow, middles };
}

/** What of a setting decides its covariances. */
export interface Spread {
  readonly level: { readonly sd: number };
  readonly wander: Wander;
}

/** Equal for settings with equal covariances. */
export function kernelName({ level, wander }: Spread): string {
  return `${level.sd} ${wander.seasonSd} ${wander.driftShare}`;
}

/** Covariances between two ranges of cells, row after row.
 *  @param spread  σ0, σs, and the share of the drift's variance */
export function covariances(
  table: KernelTable,
  { level: { sd: levelSd }, wander: { seasonSd, driftShare } }: Spread,
  rows: { from: number; to: number },
  columns: { from: number; to: number },
): Float64Array {
  const width = columns.to - columns.from;
  const matrix = new Float64Array((rows.to - rows.from) * width);
  const level = levelSd ** 2;
  const season = seasonSd ** 2;
  let at = 0;
  for (let i = rows.from; i < rows.to; i += 1) {
    const middle = table.middles[i] ?? 0;
    for (let j = columns.from; j < columns.to; j += 1) {
      const apart = Math.abs(middle - (table.middles[j] ?? 0));
      matrix[at] = level + season * (table.yearly[apart] ?? 0) + driftShare * (table.drift[apart] ?? 0);
      at += 1;
    }
  }
  return matrix;
}
