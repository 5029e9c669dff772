import type { Span } from '../domain/facts.js';
import type { FeedState } from './state.js';

/** What one commit of a feed holds; all of it in one transaction. */
export interface FeedEntry {
  /** What grew, the run and its coverage, comes with a later entry, within five minutes: now it is the count that must not be lost. */
  readonly isInterim: boolean;
  readonly state: FeedState;
  /** Runs that are new or grew since the last entry, half-open; a run that grew comes again, so overlapping ones are united. */
  readonly runs: readonly Span[];
  /** Spans in which the feed was alive; they too come again as they grow. */
  readonly coverage: readonly Span[];
  /** Exact total since the feed was set up, seconds, never falling. */
  readonly totalSeconds: number;
  /** Last sign of life by a believable clock, UTC milliseconds. */
  readonly lastAtMs: number | null;
  /** The sensor said that it goes, or its last will did, and gave no sign of life since. */
  readonly isAway: boolean;
  /** meter-hours: the meter read by the machine itself. */
  readonly reading?: { readonly hours: number; readonly atMs: number };
}

/** Where a feed keeps what it counted, and finds it after a restart. */
export interface FeedHand {
  /** The state kept last, or null for a feed that is new. */
  load(machine: string): FeedState | null;
  /** Keeps all of an entry or none of it, before it returns; throws where it cannot, then the message is not acknowledged. */
  keep(machine: string, entry: FeedEntry): void;
  /** The text of the refusals kept last; null where there are none. */
  refusals(machine: string): string | null;
  keepRefusals(machine: string, text: string): void;
}
