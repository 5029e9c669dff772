import type { Span } from '../domain/facts.js';
import type { Fault } from '../domain/fault.js';
import { findOpenFeedAside } from '../store/facts/aside.js';
import { feedRefusalsOf, setFeedRefusals } from '../store/facts/feed-refusals.js';
import { admitReading } from './admit-reading.js';
import type { Books } from './books.js';
import { enterReading } from './enter-reading.js';
import { enterRuns, feedMemory, keepCount } from './enter-runs.js';

/** What one commit of a feed holds. */
interface FeedTold<State> {
  /** The run that was counted waits for a later entry: only the count is kept now. */
  readonly isInterim: boolean;
  readonly state: State;
  readonly runs: readonly Span[];
  readonly coverage: readonly Span[];
  readonly totalSeconds: number;
  readonly lastAtMs: number | null;
  /** The sensor said that it goes; absent: as it was. */
  readonly isAway?: boolean;
  readonly reading?: { readonly hours: number; readonly atMs: number };
}

export interface FeedKeeping<State> {
  load(machine: string): State | null;
  keep(machine: string, told: FeedTold<State>): void;
  /** The last messages that were refused, as text of the feed's own; null where none were kept. */
  refusals(machine: string): string | null;
  keepRefusals(machine: string, text: string): void;
}

/** Keeps what a feed counted, all of it or none, before `keep` returns.
 *  @param parseState   the feed's own reading of the text that it left; null where it cannot use it
 *  @param onRefused    told of readings that cannot be right, which count for nothing; questionable ones are kept aside, one a machine */
export function feedHand<State>(
  books: Books,
  parseState: (text: string) => State | null,
  onRefused: (machine: string, fault: Fault) => void = () => {},
): FeedKeeping<State> {
  return {
    load(machine) {
      const text = feedMemory(books, machine);
      return text === null ? null : parseState(text);
    },
    keep(machine, told) {
      const total = { runSeconds: told.totalSeconds, lastAtMs: told.lastAtMs };
      const hasMore = told.runs.length > 0 || told.coverage.length > 0 || told.reading !== undefined;
      if (told.isInterim && !hasMore) {
        keepCount(books, machine, { total, memory: JSON.stringify(told.state) });
        return;
      }
      const fault = books.store.write((): Fault | null => {
        enterRuns(books, machine, {
          runs: told.runs,
          coverage: told.coverage,
          total,
          memory: JSON.stringify(told.state),
          ...(told.isAway === undefined ? {} : { isAway: told.isAway }),
        });
        if (told.reading === undefined) return null;
        if (findOpenFeedAside(books.store, machine)) return countBelievable(books, machine, told.reading);
        const entry = enterReading(books, {
          machine,
          hours: told.reading.hours,
          atMs: told.reading.atMs,
          by: null,
          door: 'feed',
          confirm: false,
          key: null,
        });
        return entry.kind === 'refused' ? entry.fault : null;
      });
      if (fault !== null) onRefused(machine, fault);
    },
    refusals: (machine) => feedRefusalsOf(books.store, machine),
    keepRefusals: (machine, text) => setFeedRefusals(books.store, machine, text),
  };
}

/** While the question about one reading of a sensor is open, its further readings count where they raise none: a single
 *  wrong number must not stop the hours until somebody answers. */
function countBelievable(
  books: Books,
  machineId: string,
  reading: { readonly hours: number; readonly atMs: number },
): Fault | null {
  const machine = books.home().machines.find((one) => one.id === machineId);
  if (machine === undefined) return null;
  const entry = { ...reading, by: null, door: 'feed', confirm: false, note: null } as const;
  const admission = admitReading(books, machine, entry);
  return admission.kind === 'refused' ? admission.fault : null;
}
