import type { Day } from '../day.js';
import type { NoticeKind } from '../household.js';

/** One thing to say about one visit or one question, to one person. The words are made later. */
export interface Notice {
  readonly kind: NoticeKind;
  readonly to: string;
  readonly machine: string | null;
  readonly visit: string | null;
  readonly tasks: readonly string[];
  readonly proposedDay: Day | null;
  /** Why it goes out now, a sentence for the notices page. */
  readonly because: string;
}

/** The most pressing first: the order in which a letter tells its notices. Common practice, no source. */
const pressing: readonly NoticeKind[] = ['late', 'work', 'parts', 'trouble', 'season', 'reading'];

/** Sorts notices, the most pressing first; equally pressing ones keep their order.
 *  Source: common practice, no source. */
export function byPressing(a: Pick<Notice, 'kind'>, b: Pick<Notice, 'kind'>): number {
  return pressing.indexOf(a.kind) - pressing.indexOf(b.kind);
}

/** All that one person is told on one day: one message. */
export interface Message {
  readonly to: string;
  /** The first leads the letter. */
  readonly notices: readonly Notice[];
}

/** What will be said next about one visit, and why not yet. */
export interface WaitingNotice {
  readonly kind: NoticeKind;
  readonly machine: string;
  readonly visit: string;
  /** Earliest day on which it can go out. */
  readonly day: Day;
  /** A sentence for the notices page. */
  readonly why: string;
}
