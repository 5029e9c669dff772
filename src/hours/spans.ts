import type { Span } from '../domain/facts.js';

/** Overlapping and touching spans become one; empty and upside-down ones are left out.
 *  @param spans  in any order
 *  @returns      ascending, apart from each other */
export function uniteSpans(spans: readonly Span[]): Span[] {
  const sorted = spans.filter((span) => span.toMs > span.fromMs).sort((a, b) => a.fromMs - b.fromMs);
  const united: { fromMs: number; toMs: number }[] = [];
  for (const span of sorted) {
    const last = united.at(-1);
    if (last !== undefined && span.fromMs <= last.toMs) last.toMs = Math.max(last.toMs, span.toMs);
    else united.push({ fromMs: span.fromMs, toMs: span.toMs });
  }
  return united;
}

/** What of the spans lies within [fromMs, toMs). */
export function clipSpans(spans: readonly Span[], fromMs: number, toMs: number): Span[] {
  const clipped: Span[] = [];
  for (const span of spans) {
    const from = Math.max(span.fromMs, fromMs);
    const to = Math.min(span.toMs, toMs);
    if (to > from) clipped.push({ fromMs: from, toMs: to });
  }
  return clipped;
}

/** What lies in both lists.
 *  @param one,other  united
 *  @returns          ascending, apart from each other */
export function sharedSpans(one: readonly Span[], other: readonly Span[]): Span[] {
  const shared: Span[] = [];
  let at = 0;
  for (const span of one) {
    while ((other[at]?.toMs ?? Number.POSITIVE_INFINITY) <= span.fromMs) at += 1;
    for (let i = at; (other[i]?.fromMs ?? Number.POSITIVE_INFINITY) < span.toMs; i += 1) {
      const fromMs = Math.max(span.fromMs, other[i]?.fromMs ?? 0);
      const toMs = Math.min(span.toMs, other[i]?.toMs ?? 0);
      if (toMs > fromMs) shared.push({ fromMs, toMs });
    }
  }
  return shared;
}

/** What of [fromMs, toMs) the spans leave free.
 *  @param spans  united
 *  @returns      ascending, apart from each other */
export function gapsBetween(spans: readonly Span[], fromMs: number, toMs: number): Span[] {
  const gaps: Span[] = [];
  let at = fromMs;
  for (const span of spans) {
    if (span.toMs <= at) continue;
    if (span.fromMs >= toMs) break;
    if (span.fromMs > at) gaps.push({ fromMs: at, toMs: Math.min(span.fromMs, toMs) });
    at = Math.max(at, span.toMs);
  }
  if (at < toMs) gaps.push({ fromMs: at, toMs });
  return gaps;
}

/** Spans with running totals, so that the time inside any window is found by two searches. */
export interface SpanClock {
  readonly fromMs: Float64Array;
  readonly toMs: Float64Array;
  /** Milliseconds in all spans before the i-th. */
  readonly beforeMs: Float64Array;
}

/** @param spans  united */
export function makeSpanClock(spans: readonly Span[]): SpanClock {
  const fromMs = new Float64Array(spans.length);
  const toMs = new Float64Array(spans.length);
  const beforeMs = new Float64Array(spans.length + 1);
  spans.forEach((span, i) => {
    fromMs[i] = span.fromMs;
    toMs[i] = span.toMs;
    beforeMs[i + 1] = (beforeMs[i] ?? 0) + span.toMs - span.fromMs;
  });
  return { fromMs, toMs, beforeMs };
}

/** Milliseconds of the spans within [fromMs, toMs); 0 where that is empty. */
export function timeWithin(clock: SpanClock, fromMs: number, toMs: number): number {
  return toMs > fromMs ? timeUntil(clock, toMs) - timeUntil(clock, fromMs) : 0;
}

function timeUntil(clock: SpanClock, atMs: number): number {
  let low = 0;
  let high = clock.fromMs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((clock.fromMs[middle] ?? 0) < atMs) low = middle + 1;
    else high = middle;
  }
  if (low === 0) return 0;
  const i = low - 1;
  return (clock.beforeMs[i] ?? 0) + Math.min(atMs, clock.toMs[i] ?? 0) - (clock.fromMs[i] ?? 0);
}
