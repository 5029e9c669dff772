import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Channel } from '../channels/channel.js';
import type { Facts } from '../domain/facts.js';
import type { Home } from '../domain/home.js';
import type { Ill } from '../domain/ill.js';
import type { Clock, Log } from '../domain/outside.js';
import type { Delivery } from '../domain/results/envelope.js';
import type { Books } from '../ledger/books.js';
import { sayRefusedAnew } from '../ledger/say-anew.js';
import { withdrawUntrue } from '../ledger/withdraw.js';
import type { FullOutlook } from '../outlook/look.js';
import { type Looked, stillStands } from '../outlook/still-stands.js';
import { openStore } from '../store/open.js';
import { deliver } from './deliver.js';
import { keepLatest } from './latest.js';
import { type Turn, takeTurn } from './turn.js';
import { openWaysOut, type PushReadiness, pushReadiness } from './ways-out.js';

/** Where the service keeps what it knows, below the home folder. */
export function dataFolder(homeDir: string): string {
  return join(homeDir, 'data');
}

/** The service without its doors: facts, outlook, outbox. The daemon, the commands, the tests and a rehearsal open the same. */
export interface Service {
  readonly books: Books;
  latest(): FullOutlook;
  /** The facts as they are, kept by their version. */
  facts(): Facts;
  /** What is wrong with the service itself from now on; it is told of with the next turn that may. */
  ail(now: readonly Ill[]): void;
  /** One turn; or what the last one brought, where a feed alone spoke since and its hours change nothing yet. */
  turn(): Turn;
  deliver(stopping?: AbortSignal): Promise<number>;
  /** Every way out that is set up. */
  ways(): readonly Channel[];
  /** Whether browsers can ask to be told, and by which key. */
  push(): PushReadiness;
  /** The port on which the page is open: links of messages lead there. Until then they lead to the configured one. */
  servedAt(port: number): void;
  /** A home folder that changed and passed its checks. */
  replaceHome(home: Home): void;
  close(): void;
}

/** Opens the store below `homeDir`/data (made where missing) and hands everything out.
 *  @throws Fault where the store cannot be opened (full disk, newer schema, damaged file) */
export function openService(options: {
  readonly homeDir: string;
  readonly home: Home;
  readonly clock: Clock;
  readonly log: Log;
}): Service {
  const folder = dataFolder(options.homeDir);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const store = openStore(join(folder, 'shedbell.sqlite'), { log: options.log });
  let home = options.home;
  let port: number | null = null;
  const books: Books = { store, home: () => home, clock: options.clock };
  let channels = openWaysOut(folder, home.household, books, options.log);
  let ills: readonly Ill[] = [];
  let ailing: ReadonlySet<string> | null = null;
  const latest = keepLatest(books, () => ills);
  const unnoted = new Map<string, Delivery>();
  let last: { readonly looked: Looked; readonly turn: Turn } | null = null;
  const turn = () => {
    const facts = latest.facts();
    const isWell = ills.length === 0;
    if (last !== null && isWell && stillStands(last.looked, home, facts, books.clock.nowMs())) {
      return { ...last.turn, posted: 0 };
    }
    const taken = takeTurn(books, latest, options.log, port);
    last = isWell ? { looked: { home, facts, outlook: taken.outlook }, turn: taken } : null;
    return taken;
  };
  return {
    books,
    latest: () => latest.look(),
    facts: () => latest.facts(),
    ail: (now) => {
      ills = now;
      ailing = new Set(now.map(({ key }) => key));
    },
    turn,
    deliver: (stopping) => {
      sayRefusedAnew(books);
      withdrawUntrue(books, () => latest.look(), ailing);
      return deliver(books, channels, options.log, stopping, unnoted);
    },
    ways: () => channels,
    push: () => pushReadiness(folder, home.household),
    servedAt: (open) => {
      port = open;
    },
    replaceHome: (next) => {
      home = next;
      channels = openWaysOut(folder, next.household, books, options.log);
    },
    close: () => store.close(),
  };
}
