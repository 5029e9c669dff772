import type { FeedTotal, Span } from '../domain/facts.js';
import { addCoverage } from '../store/facts/coverage.js';
import { feedMemoryOf, setFeedAway, setFeedCount, setFeedMemory, setFeedTotal } from '../store/facts/feed-totals.js';
import { addRun } from '../store/facts/runs.js';
import type { Books } from './books.js';
import { refusal } from './errors.js';

/** What a feed found out: any part of it may be missing. */
export interface RunsToEnter {
  readonly runs?: readonly Span[];
  readonly coverage?: readonly Span[];
  /** The exact count since the feed was set up; it only grows. */
  readonly total?: FeedTotal;
  /** What the counting needs to go on after a restart, as text of the feed's own. */
  readonly memory?: string;
  /** Whether the sensor said that it goes and was not heard since; only together with a total. */
  readonly isAway?: boolean;
}

/** Enters runs, coverage and the exact total of a feed, all or none. The same again changes nothing: overlapping and
 *  touching spans become one, so that a growing run stays one row.
 *  @throws Fault span-unreadable, total-unreadable: a fault of the caller, not of a person */
export function enterRuns(books: Books, machine: string, told: RunsToEnter): void {
  const { store } = books;
  const runs = (told.runs ?? []).map(wholeSpan).filter(lasts);
  const coverage = (told.coverage ?? []).map(wholeSpan).filter(lasts);
  const total = told.total === undefined ? undefined : readTotal(machine, told.total);
  store.write(() => {
    for (const run of runs) addRun(store, machine, run);
    for (const span of coverage) addCoverage(store, machine, span);
    if (total !== undefined) setFeedTotal(store, machine, total);
    if (told.memory !== undefined) setFeedMemory(store, machine, told.memory);
    if (told.isAway !== undefined) setFeedAway(store, machine, told.isAway);
  });
}

/** Keeps the exact count in between, while its run waits to be entered: the facts on which an outlook rests stay as they are until then,
 *  so that an engine that runs does not have everything computed anew each minute.
 *  @throws Fault total-unreadable */
export function keepCount(
  books: Books,
  machine: string,
  told: { readonly total: FeedTotal; readonly memory: string },
): void {
  const total = readTotal(machine, told.total);
  // One statement is all or nothing without a transaction around it, and this one runs with every message of a running engine.
  setFeedCount(books.store, machine, total, told.memory);
}

/** What the counting of this machine's feed last left for itself; null before the first time. */
export function feedMemory(books: Books, machine: string): string | null {
  return feedMemoryOf(books.store, machine);
}

function readTotal(machine: string, { runSeconds, lastAtMs }: FeedTotal): FeedTotal {
  if (!(Number.isFinite(runSeconds) && runSeconds >= 0)) {
    throw refusal('total-unreadable', 'The total of a feed is no number of seconds', {
      place: machine,
      found: String(runSeconds),
    });
  }
  return { runSeconds, lastAtMs: lastAtMs === null ? null : Math.floor(lastAtMs) };
}

function wholeSpan(span: Span): Span {
  if (!Number.isFinite(span.fromMs) || !Number.isFinite(span.toMs) || span.toMs < span.fromMs || span.fromMs < 0) {
    throw refusal('span-unreadable', 'A span of time ends before it begins', {
      found: `${span.fromMs} to ${span.toMs}`,
    });
  }
  return { fromMs: Math.round(span.fromMs), toMs: Math.round(span.toMs) };
}

function lasts(span: Span): boolean {
  return span.toMs > span.fromMs;
}
