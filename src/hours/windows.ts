import { dayMs, hourMs } from '../domain/day.js';
import { aboutSd, cellDays, idleHours, idleYear, spacing } from './constants.js';
import type { Evidence, EvidenceReading } from './evidence.js';
import type { Ratio } from './ratio.js';
import { clipSpans, gapsBetween, timeWithin } from './spans.js';
import type { Timeline } from './timeline.js';

/** A stretch of time of which the use is known: days of it in each cell, hours, and the variance beyond the model's. */
export interface Window {
  readonly firstCell: number;
  /** Days that count in firstCell, firstCell + 1, … */
  readonly days: Float64Array;
  readonly hours: number;
  readonly extraVariance: number;
}

const mostFeedWindows = 40;
/** Between two readings the uncovered part is evidence of its own only where the feed missed at least this share. */
const leastMissed = 0.5;

/** Readings that the fit uses: the newest, then each at least max(3 d, span/60) older than the last kept, and the oldest.
 *  Two readings a minute apart would otherwise make the fit wildly sure.
 *  @param timeline  its oldest edge bounds them
 *  @returns         ascending */
export function spaceReadings(timeline: Timeline): EvidenceReading[] {
  const oldestMs = timeline.origin.atMs + (timeline.edges[0] ?? 0) * dayMs - 1;
  const usable = timeline.readings.filter((reading) => reading.atMs >= oldestMs);
  const oldest = usable[0];
  const newest = usable.at(-1);
  if (oldest === undefined || newest === undefined) return [];
  const apartMs = Math.max(spacing.days * dayMs, (newest.atMs - oldest.atMs) / spacing.most);
  const kept = [newest];
  let lastMs = newest.atMs;
  for (let i = usable.length - 2; i >= 0; i -= 1) {
    const reading = usable[i];
    if (reading === undefined || lastMs - reading.atMs < apartMs) continue;
    kept.push(reading);
    lastMs = reading.atMs;
  }
  if (lastMs > oldest.atMs && oldest !== newest) {
    // The oldest closes the span; a neighbour that stands too near to it gives way.
    if (kept.length > 1 && lastMs - oldest.atMs < apartMs / 2) kept.pop();
    kept.push(oldest);
  }
  return kept.reverse();
}

/** Leaves out the readings inside a stretch of 240 days or more that saw no use: one window without use says the same as many, and the fit takes
 *  it to the letter (fit.ts), which it cannot where a season may be the reason. Read every month, idle years ended half as readily again. */
function joinIdle(kept: readonly EvidenceReading[]): EvidenceReading[] {
  const isStill = kept.map((reading, i) => {
    const before = kept[i - 1];
    return before !== undefined && !before.about && !reading.about && reading.hours - before.hours <= idleHours;
  });
  return kept.filter((_, i) => {
    let first = i;
    while (isStill[first]) first -= 1;
    let last = i;
    while (isStill[last + 1]) last += 1;
    const days = ((kept[last]?.atMs ?? 0) - (kept[first]?.atMs ?? 0)) / dayMs;
    return i === first || i === last || days < idleYear.fromDays;
  });
}

/** The windows of the fit: between readings (their uncovered part where a feed was there), the feed's own, and times told not used.
 *  @param kept   from spaceReadings
 *  @param ratio  turns feed hours into meter hours */
export function cutWindows(
  evidence: Evidence,
  timeline: Timeline,
  kept: readonly EvidenceReading[],
  ratio: Ratio,
): Window[] {
  const windows: Window[] = [];
  const ends = joinIdle(kept);
  ends.forEach((reading, i) => {
    const next = ends[i + 1];
    if (next === undefined || next.atMs <= reading.atMs) return;
    const gaps = gapsBetween(timeline.watchedSpans, reading.atMs, next.atMs);
    const freeMs = gaps.reduce((sum, gap) => sum + gap.toMs - gap.fromMs, 0);
    const known = 1 - freeMs / (next.atMs - reading.atMs);
    const seen = timeWithin(timeline.watchedRuns, reading.atMs, next.atMs) / hourMs;
    const about = (reading.about ? aboutVariance(reading) : 0) + (next.about ? aboutVariance(next) : 0);
    if (seen > 0 && known > 1 - leastMissed) return;
    const hours = Math.max(0, next.hours - reading.hours - ratio.mean * seen);
    const free = cut(timeline, gaps);
    if (free !== null)
      windows.push({ ...free, hours, extraVariance: about + (ratio.sd * seen) ** 2 + (0.03 * seen) ** 2 });
  });
  if (timeline.coverage.length > 0) windows.push(...feedWindows(timeline, ratio));
  else if (windows.length === 0) windows.push(...toldWindow(evidence, timeline, ratio));
  for (const span of evidence.notUsed) {
    const idle = cut(
      timeline,
      gapsBetween(timeline.coverage, span.fromMs, Math.min(span.toMs, timeline.evidenceEndMs)),
    );
    if (idle !== null) windows.push({ ...idle, hours: 0, extraVariance: 0 });
  }
  return windows;
}

/** Variance of a reading that is known only roughly, h²: of a share of its hours, and of no less than a least deviation (`aboutSd`).
 *  @returns  > 0 */
export function aboutVariance(reading: EvidenceReading): number {
  return Math.max(aboutSd.least, aboutSd.share * Math.abs(reading.hours)) ** 2;
}

function feedWindows(timeline: Timeline, ratio: Ratio): Window[] {
  const windows: Window[] = [];
  const originMs = timeline.origin.atMs;
  const startMs = Math.max(timeline.coverage[0]?.fromMs ?? 0, originMs + (timeline.edges[0] ?? 0) * dayMs);
  const endMs = timeline.coverage.at(-1)?.toMs ?? startMs;
  const cells = Math.max(1, Math.ceil((endMs - startMs) / dayMs / cellDays / mostFeedWindows));
  const lengthMs = cells * cellDays * dayMs;
  // Counted from the origin, so that a block is whole cells.
  const firstBlock = Math.floor((startMs - originMs) / lengthMs);
  for (let fromMs = originMs + firstBlock * lengthMs; fromMs < endMs; fromMs += lengthMs) {
    const covered = clipSpans(timeline.coverage, Math.max(fromMs, startMs), fromMs + lengthMs);
    const part = cut(timeline, covered);
    if (part === null) continue;
    const hours =
      (ratio.mean * timeWithin(timeline.watchedRuns, Math.max(fromMs, startMs), fromMs + lengthMs)) / hourMs;
    windows.push({ ...part, hours, extraVariance: (0.03 * hours) ** 2 });
  }
  return windows;
}

/** Runs alone, without coverage or two readings: from the end of the first to the end of the last, with the hours of all after the first (with
 *  the first one in it, a machine would seem to run the more the less is known of it). None where that is shorter than readings may be apart. */
function toldWindow(evidence: Evidence, timeline: Timeline, ratio: Ratio): Window[] {
  const fromMs = evidence.runs[0]?.toMs ?? 0;
  const toMs = Math.min(evidence.runs.at(-1)?.toMs ?? 0, timeline.evidenceEndMs);
  const part = toMs - fromMs < spacing.days * dayMs ? null : cut(timeline, [{ fromMs, toMs }]);
  if (part === null) return [];
  const hours = (ratio.mean * timeWithin(timeline.runs, fromMs, toMs)) / hourMs;
  return [{ ...part, hours, extraVariance: (ratio.sd * hours) ** 2 }];
}

/** The days of the spans in each cell; null where they are less than an hour in all. */
function cut(
  timeline: Timeline,
  spans: readonly { fromMs: number; toMs: number }[],
): { firstCell: number; days: Float64Array } | null {
  const first = spans[0];
  const last = spans.at(-1);
  if (first === undefined || last === undefined) return null;
  const firstCell = cellAt(timeline, first.fromMs);
  const lastCell = cellAt(timeline, last.toMs);
  const days = new Float64Array(lastCell - firstCell + 1);
  const originMs = timeline.origin.atMs;
  let total = 0;
  for (const span of spans) {
    const from = (span.fromMs - originMs) / dayMs;
    const to = (span.toMs - originMs) / dayMs;
    for (let cell = cellAt(timeline, span.fromMs); cell <= lastCell; cell += 1) {
      const start = timeline.edges[cell] ?? 0;
      if (start >= to) break;
      const part = Math.min(to, timeline.edges[cell + 1] ?? to) - Math.max(from, start);
      if (part <= 0) continue;
      days[cell - firstCell] = (days[cell - firstCell] ?? 0) + part;
      total += part;
    }
  }
  return total < 1 / 24 ? null : { firstCell, days };
}

function cellAt(timeline: Timeline, atMs: number): number {
  const at = (atMs - timeline.origin.atMs) / dayMs;
  const { edges, pastCells, fitCells } = timeline;
  const uniform = at >= 0 ? pastCells + Math.floor(at / cellDays) : pastCells - Math.ceil(-at / cellDays);
  return Math.max(0, Math.min(Math.max(fitCells, 1) - 1, edges.length - 2, uniform));
}
