import type { Log } from '../domain/outside.js';
import type { WaitingNotice } from '../domain/results/notice.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Books } from '../ledger/books.js';

/** What the pages are handed by the wiring. */
export interface Given {
  readonly books: Books;
  /** The last outlook, kept in memory. */
  readonly latest: () => Outlook;
  /** Called after an entry: facts changed, a turn is due. */
  readonly changed: () => void;
  readonly log: Log;
  /** Folder with stylesheet, script, icon and manifest. */
  readonly webFolder: string;
  readonly port: number;
  readonly health: () => Health;
  /** Plain sentences about the service itself, beside those of the outlook. */
  readonly problems: () => readonly string[];
  /** What will be said next and why not yet; absent: that part of the notices page is left out. */
  readonly waiting?: () => readonly WaitingNotice[];
}

/** How the service is, for `/health`. */
interface Health {
  readonly lastTurnAtMs: number | null;
  /** Why the clock cannot be believed, or null. */
  readonly doubt: string | null;
  readonly problems: readonly string[];
}
