import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseDay, parseInstant, parseZone } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import { loadHome } from '../../src/home/load-home.js';
import { initHome } from '../../src/home/write-example.js';
import type { Books } from '../../src/ledger/books.js';
import { gather } from '../../src/ledger/gather.js';
import { openSetUp } from '../../src/ledger/set-up.js';
import { lookAhead } from '../../src/outlook/look.js';
import { createApp } from '../../src/pages/app.js';
import { openStore } from '../../src/store/open.js';

type Changes = Readonly<Record<string, string | readonly string[]>>;

/** The pages over a new home folder, as a browser without scripts sends its forms. */
export interface SetUpPages {
  readonly dir: string;
  readonly url: string;
  read(file: string): string;
  /** As the files stand now. */
  home(): Home;
  get(path: string): Promise<string>;
  /** Opens a page, changes some of the fields of its form, and sends it. */
  send(
    path: string,
    changes: Changes,
    step?: 'look' | 'write',
  ): Promise<{ readonly status: number; readonly text: string; readonly location: string | null }>;
  close(): Promise<void>;
}

/** Opens the pages at 2027-04-20, over the files of `init`. */
export async function openSetUpPages(): Promise<SetUpPages> {
  const dir = join(mkdtempSync(join(tmpdir(), 'shedbell-set-up-')), 'shed');
  const home = () => homeIn(dir);
  initHome(dir, { today: parseDay('2027-04-09'), zone: parseZone('Europe/Lisbon') });
  const store = openStore(':memory:');
  const nowMs = parseInstant('2027-04-20T10:00:00Z', parseZone('UTC'));
  const books: Books = { store, home, clock: { nowMs: () => nowMs } };
  const log = { error: () => {}, warn: () => {}, info: () => {}, debug: () => {} };
  const app = createApp({
    books,
    facts: () => gather(books),
    latest: () => lookAhead(home(), gather(books), nowMs),
    changed: () => {},
    log,
    webFolder: new URL('../../web', import.meta.url).pathname,
    port: 8377,
    health: () => ({ lastTurnAtMs: nowMs, doubt: null, problems: [] }),
    problems: () => [],
    setUp: openSetUp(dir, {}, null, () => {}),
  });
  const server = createServer(app);
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const get = async (path: string) => (await fetch(`${url}${path}`)).text();
  return {
    dir,
    url,
    read: (file) => readFileSync(join(dir, file), 'utf8'),
    home,
    get,
    send: async (path, changes, step = 'look') => {
      const fields = fieldsOf(await get(path)).filter(([name]) => !(name in changes));
      const body = new URLSearchParams([...fields, ['step', step]]);
      for (const [name, value] of Object.entries(changes)) {
        for (const one of typeof value === 'string' ? [value] : value) body.append(name, one);
      }
      const answer = await fetch(`${url}${path.split('?')[0]}`, {
        method: 'POST',
        body,
        headers: { origin: url },
        redirect: 'manual',
      });
      return { status: answer.status, text: plain(await answer.text()), location: answer.headers.get('location') };
    },
    close: async () => {
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
      store.close();
      rmSync(join(dir, '..'), { recursive: true, force: true });
    },
  };
}

function homeIn(dir: string): Home {
  const loaded = loadHome(dir, {});
  if (loaded.kind === 'faults') throw new Error(loaded.faults.map((fault) => fault.line).join('\n'));
  return loaded.home;
}

/** The text of a page without its escapes. */
export const plain = (text: string) => text.replaceAll('&quot;', '"').replaceAll('&lt;', '<').replaceAll('&amp;', '&');

/** The fields that a browser would send of the form that ends in "Show what it writes". */
export function fieldsOf(html: string): [string, string][] {
  const form =
    [...html.matchAll(/<form method="post"[\s\S]*?<\/form>/g)].find(([text]) =>
      text.includes('Show what it writes'),
    )?.[0] ?? '';
  const fields: [string, string][] = [];
  for (const [tag] of form.matchAll(/<input[^>]*>/g)) {
    const name = / name="([^"]*)"/.exec(tag)?.[1];
    if (name === undefined || (/type="checkbox"/.test(tag) && !/ checked/.test(tag))) continue;
    fields.push([name, plain(/ value="([^"]*)"/.exec(tag)?.[1] ?? '')]);
  }
  for (const [, name = '', text = ''] of form.matchAll(/<textarea[^>]* name="([^"]*)"[^>]*>([\s\S]*?)<\/textarea>/g)) {
    fields.push([name, plain(text)]);
  }
  for (const [, name = '', options = ''] of form.matchAll(/<select[^>]* name="([^"]*)"[^>]*>([\s\S]*?)<\/select>/g)) {
    const chosen = /<option[^>]* selected[^>]*>/.exec(options)?.[0] ?? /<option[^>]*>/.exec(options)?.[0] ?? '';
    fields.push([name, / value="([^"]*)"/.exec(chosen)?.[1] ?? '']);
  }
  return fields;
}
