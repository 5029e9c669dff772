import type { Facts } from '../domain/facts.js';
import type { Log } from '../domain/outside.js';
import type { WaitingNotice } from '../domain/results/notice.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Books } from '../ledger/books.js';
import type { SetUp } from '../ledger/set-up.js';
import type { DamageWords } from '../words/damage.js';

/** What the pages are handed by the wiring. */
export interface Given {
  readonly books: Books;
  /** The facts as they are, kept in memory by their version. */
  readonly facts: () => Facts;
  /** The last outlook, kept in memory: the same object while nothing changes. */
  readonly latest: () => Outlook;
  /** Called after an entry: facts changed, a turn is due. */
  readonly changed: () => void;
  readonly log: Log;
  /** Folder with stylesheet, script, icon and manifest. */
  readonly webFolder: string;
  readonly port: number;
  /** Holds the password for other devices, as it is kept; absent or no such file: none is set. */
  readonly passwordFile?: string;
  readonly health: () => Health;
  /** Plain sentences about the service itself, beside those of the outlook. */
  readonly problems: () => readonly string[];
  /** What will be said next and why not yet; absent: that part of the notices page is left out. */
  readonly waiting?: () => readonly WaitingNotice[];
  /** Whether browsers can ask to be told, and by which key; absent: not at all. */
  readonly push?: () =>
    | { readonly kind: 'ready'; readonly publicKey: string }
    | { readonly kind: 'not'; readonly why: string };
  /** The files of the home folder; absent: nothing can be set up on the page. */
  readonly setUp?: SetUp;
  /** Takes note of what broke a page, and says what is wrong where the data file is damaged; absent or null: it is not. */
  readonly damage?: (failure: unknown) => DamageWords | null;
}

/** How the service is, for `/health`. */
interface Health {
  readonly lastTurnAtMs: number | null;
  /** Why the clock cannot be believed, or null. */
  readonly doubt: string | null;
  readonly problems: readonly string[];
  readonly lastBackupAtMs?: number | null;
  /** The code of a trouble that somebody has to mend; null or absent: none. */
  readonly code?: string | null;
  /** Absent where nobody feels the pulse, as in a rehearsal. */
  readonly vitals?: {
    readonly database: 'ok' | 'failing';
    readonly loopLagMs: number;
    readonly ticks: boolean;
  };
}
