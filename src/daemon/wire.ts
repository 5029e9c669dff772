import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Channel } from '../channels/channel.js';
import { fileChannel } from '../channels/file.js';
import { smtpChannel } from '../channels/mail.js';
import type { Home } from '../domain/home.js';
import type { Clock, Log } from '../domain/outside.js';

import type { Books } from '../ledger/books.js';
import type { FullOutlook } from '../outlook/look.js';
import { openStore } from '../store/open.js';
import { deliver } from './deliver.js';
import { keepLatest } from './latest.js';
import { type Turn, takeTurn } from './turn.js';

/** Where the service keeps what it knows, below the home folder. */
export function dataFolder(homeDir: string): string {
  return join(homeDir, 'data');
}

/** The service without its doors: facts, outlook, outbox. The daemon, the commands, the tests and a rehearsal open the same. */
export interface Service {
  readonly books: Books;
  latest(): FullOutlook;
  turn(): Turn;
  deliver(stopping?: AbortSignal): Promise<number>;
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
  let channels = channelsOf(options.homeDir, home, options.log);
  const books: Books = { store, home: () => home, clock: options.clock };
  const latest = keepLatest(books);
  return {
    books,
    latest: () => latest.look(),
    turn: () => takeTurn(books, latest, options.log, port),
    deliver: (stopping) => deliver(books, channels, options.log, stopping),
    servedAt: (open) => {
      port = open;
    },
    replaceHome: (next) => {
      home = next;
      channels = channelsOf(options.homeDir, next, options.log);
    },
    close: () => store.close(),
  };
}

function channelsOf(homeDir: string, home: Home, log: Log): readonly Channel[] {
  const { household } = home;
  const files = fileChannel(join(dataFolder(homeDir), 'outbox'), household);
  return household.smtp === undefined ? [files] : [smtpChannel(household.smtp, household, log), files];
}
