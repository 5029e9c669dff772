import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { dayMs, hourMs, parseInstant } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import type { Household } from '../../src/domain/household.js';
import { loadHome } from '../../src/home/load-home.js';
import type { Books } from '../../src/ledger/books.js';
import { enterReading } from '../../src/ledger/enter-reading.js';
import { gather } from '../../src/ledger/gather.js';
import { openSetUp } from '../../src/ledger/set-up.js';
import type { FullOutlook } from '../../src/outlook/look.js';
import { lookAhead } from '../../src/outlook/look.js';
import { newMemory } from '../../src/outlook/memory.js';
import { createApp } from '../../src/pages/app.js';
import { openStore } from '../../src/store/open.js';

/** The demo household with a few readings of our own, its pages served on a free port of this computer. */
export interface OpenPages {
  readonly url: string;
  readonly books: Books;
  outlook(): FullOutlook;
  /** How often the pages said that facts changed. */
  changes(): number;
  passDays(days: number): void;
  /** Lines that the pages logged as errors. */
  readonly errors: string[];
  get(path: string, headers?: Record<string, string>): Promise<Answer>;
  /** Sends a form; a redirect is not followed. The form key is added unless given. */
  post(path: string, fields: Fields, headers?: Record<string, string>): Promise<Answer>;
  /** Nothing answers any more at this address, until it is called with false. */
  cut(isCut?: boolean): void;
  /** A proxy in front answers with this status because it does not reach the service; null: it does again. */
  unreached(status: number | null): void;
  close(): Promise<void>;
}

interface Answer {
  readonly status: number;
  readonly text: string;
  readonly headers: Headers;
}

type Fields = Readonly<Record<string, string | readonly string[]>>;

/** Saturday 28 February 2026, ten in the morning: some weeks before the season. */
const startAt = '2026-02-28T10:00:00Z';

const readings = [
  { machine: 'bank-tractor', daysAgo: 600, hours: 212.4 },
  { machine: 'bank-tractor', daysAgo: 420, hours: 262 },
  { machine: 'bank-tractor', daysAgo: 240, hours: 318.5 },
  { machine: 'bank-tractor', daysAgo: 90, hours: 371.2 },
  { machine: 'bank-tractor', daysAgo: 24, hours: 384.6 },
  { machine: 'paddock-mower', daysAgo: 500, hours: 40.2 },
  { machine: 'paddock-mower', daysAgo: 150, hours: 88.7 },
] as const;

let nextKey = 1;

/** A form key that no other form of this run has. */
export function formKey(): string {
  nextKey += 1;
  return `test-key-${nextKey}`;
}

export async function openPages(
  changes: Partial<Household> = {},
  empty = false,
  alter: (home: Home) => Home = (home) => home,
  passwordFile = '',
): Promise<OpenPages> {
  const homeDir = new URL('../../demo-data/home', import.meta.url).pathname;
  const read = loadHome(homeDir, {});
  if (read.kind === 'faults') throw new Error(read.faults.map((fault) => fault.line).join('\n'));
  const home = alter({ ...read.home, household: { ...read.home.household, ...changes } });
  let nowMs = parseInstant(startAt, home.household.zone);
  const store = openStore(':memory:');
  const books: Books = { store, home: () => home, clock: { nowMs: () => nowMs } };
  for (const { machine, daysAgo, hours } of empty ? [] : readings) {
    const atMs = nowMs - daysAgo * dayMs + 3 * hourMs;
    const entry = { machine, hours, atMs, by: null, door: 'command', confirm: true, key: null } as const;
    const outcome = enterReading(books, entry);
    if (outcome.kind !== 'counted') throw new Error(`the stage could not enter ${machine} ${hours}`);
  }
  const memory = newMemory();
  const errors: string[] = [];
  let changed = 0;
  let kept: { key: string; outlook: FullOutlook } | null = null;
  const outlook = () => {
    const key = `${store.dataVersion()}@${nowMs}`;
    if (kept?.key !== key) kept = { key, outlook: lookAhead(home, gather(books), nowMs, memory) };
    return kept.outlook;
  };
  const app = createApp({
    books,
    facts: () => gather(books),
    latest: outlook,
    changed: () => {
      changed += 1;
    },
    log: {
      error: (fields, event) => errors.push(`${event}: ${JSON.stringify(fields)}`),
      warn: () => {},
      info: () => {},
      debug: () => {},
    },
    webFolder: new URL('../../web', import.meta.url).pathname,
    port: 8377,
    ...(passwordFile === '' ? {} : { passwordFile }),
    health: () => ({ lastTurnAtMs: nowMs, doubt: null, problems: outlook().problems }),
    problems: () => [],
    waiting: () => outlook().waiting,
    push: () => ({ kind: 'ready', publicKey: 'B'.repeat(87) }),
    setUp: openSetUp(homeDir, {}, null, () => {}),
  });
  let proxyStatus: number | null = null;
  const server = createServer((request, response) => {
    if (proxyStatus === null) return app(request, response);
    response.writeHead(proxyStatus, { 'Content-Type': 'text/html' });
    response.end(`<!doctype html><title>${proxyStatus}</title><h1>${proxyStatus} from the proxy</h1>`);
  });
  let isCutOff = false;
  server.on('connection', (socket) => isCutOff && socket.destroy());
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  const url = `http://127.0.0.1:${port}`;
  const answer = async (response: Response): Promise<Answer> => ({
    status: response.status,
    text: await response.text(),
    headers: response.headers,
  });
  return {
    url,
    books,
    outlook,
    changes: () => changed,
    passDays: (days) => {
      nowMs += days * dayMs;
    },
    errors,
    get: async (path, headers = {}) => answer(await fetch(`${url}${path}`, { headers, redirect: 'manual' })),
    post: async (path, fields, headers = {}) => {
      const body = new URLSearchParams();
      const withKey: Fields = { key: formKey(), ...fields };
      for (const [name, value] of Object.entries(withKey)) {
        for (const one of typeof value === 'string' ? [value] : value) body.append(name, one);
      }
      const options = { method: 'POST', body, headers, redirect: 'manual' } as const;
      return answer(await fetch(`${url}${path}`, options));
    },
    cut: (isCut = true) => {
      isCutOff = isCut;
      if (isCut) server.closeAllConnections();
    },
    unreached: (status) => {
      proxyStatus = status;
    },
    close: async () => {
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
      store.close();
    },
  };
}
