import type { Log } from '../domain/outside.js';
import type { Outlook } from '../domain/results/outlook.js';
import type { Sheet } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import type { Waiting } from '../outlook/look.js';
import type { Books } from '../ledger/books.js';

/** What the pages are handed by the wiring. */
export interface Given {
  readonly books: Books;
  /** The last outlook, kept in memory. */
  readonly latest: () => Outlook;
  /** Called after an entry: facts changed, a turn is due. */
  readonly changed: () => void;
  readonly sheetOf: (visit: Visit) => Sheet | null;
  readonly health: () => Health;
  readonly log: Log;
  /** Folder with stylesheet, script, icon and manifest. */
  readonly webFolder: string;
}

/** How the service is, for `/health`. */
export interface Health {
  readonly isWell: boolean;
  readonly lastTurnAtMs: number | null;
  readonly problems: number;
}
