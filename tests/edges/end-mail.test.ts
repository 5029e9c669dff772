import { createECDH, randomBytes } from 'node:crypto';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Channel } from '../../src/channels/channel.js';
import { fileChannel } from '../../src/channels/file.js';
import { smtpChannel } from '../../src/channels/mail.js';
import { deliver } from '../../src/daemon/deliver.js';
import type { Person } from '../../src/domain/household.js';
import type { Message } from '../../src/domain/results/notice.js';
import { mailEnds, mailEndToken } from '../../src/ledger/mail-ended.js';
import { makePermit, renewPermitKey } from '../../src/ledger/permit.js';
import { postLetters } from '../../src/ledger/post.js';
import { enterPushDevice } from '../../src/ledger/push-devices.js';
import { type MailServer, startMailServer } from '../stage/mail-server.js';
import { noLog } from '../stage/no-log.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const address = 'https://shed.example.org';
const owner: Person = { id: 'ines', name: 'Ines', mail: 'ines@example.org' };
const neighbour: Person = { id: 'joao', name: 'João', mail: 'joao@example.org', secondAfterDays: 14 };
const oneClick = 'List-Unsubscribe=One-Click';

let pages: OpenPages;
let server: MailServer;
let folder: string;
beforeEach(async () => {
  server = await startMailServer({ security: 'plain', login: null });
  folder = mkdtempSync(join(tmpdir(), 'shedbell-end-mail-'));
  const smtp = { host: '127.0.0.1', port: server.port, security: 'plain', from: 'shed@example.org' } as const;
  pages = await openPages({ address, people: [owner, neighbour], smtp }, true);
});
afterEach(async () => {
  await pages.close();
  await server.close();
  rmSync(folder, { recursive: true, force: true });
});

/** A letter about late work to a person, written and not sent yet. */
function write(to: string, task: string): void {
  const notice = { to, machine: null, visit: null, tasks: [task], proposedDay: null, because: 'it is late' };
  const message: Message = { to, notices: [{ ...notice, kind: 'late' }] };
  const letter = { subject: task, lead: 'It is late.', blocks: [] };
  expect(postLetters(pages.books, pages.outlook(), [{ message, letter }]).letters).toHaveLength(1);
}

/** Empties the outbox by mail, else as files. */
function send(...more: readonly Channel[]): Promise<number> {
  const { household } = pages.books.home();
  if (household.smtp === undefined) throw new Error('the stage has a mail server');
  const mail = smtpChannel(household.smtp, household, noLog);
  return deliver(pages.books, [mail, ...more, fileChannel(folder, household)], noLog);
}

const headers = (raw: string) => (raw.split('\r\n\r\n', 1)[0] ?? '').replace(/\r\n(?=[ \t])/g, '');
const linkIn = (raw: string) =>
  /^List-Unsubscribe: <https:\/\/shed\.example\.org(\/m\/[^>]+)>,/m.exec(headers(raw))?.[1];

/** As a mail provider posts: from anywhere, under the household's public name, without a cookie. */
function click(
  path: string,
  body = oneClick,
  more: Record<string, string> = {},
  method = 'POST',
): Promise<{ status: number; text: string; location?: string; cookie?: unknown }> {
  return new Promise((done, fail) => {
    const asking = request(
      `${pages.url}${path}`,
      {
        method,
        headers: {
          host: 'shed.example.org',
          'x-forwarded-for': '203.0.113.9',
          ...(method === 'POST' ? { 'content-type': 'application/x-www-form-urlencoded' } : {}),
          ...more,
        },
      },
      (response) => {
        let text = '';
        response.on('data', (chunk) => {
          text += chunk;
        });
        response.on('end', () => {
          const { location } = response.headers;
          done({
            status: response.statusCode ?? 0,
            text,
            cookie: response.headers['set-cookie'],
            ...(location === undefined ? {} : { location }),
          });
        });
      },
    );
    asking.on('error', fail);
    asking.end(method === 'POST' ? body : undefined);
  });
}

const path = () => `/m/${mailEndToken(pages.books, 'joao')}`;
const ended = () => mailEnds(pages.books).map(({ person }) => person);

test('one click in a letter ends the mail to whoever is told after others, and mail begins again by one button', async () => {
  write('joao', 'oil');
  write('ines', 'oil');
  expect(await send()).toBe(2);
  const [toNeighbour, toOwner] = server.arrived;
  const link = linkIn(toNeighbour?.raw ?? '');
  expect(headers(toNeighbour?.raw ?? '')).toMatch(/^List-Unsubscribe-Post: List-Unsubscribe=One-Click$/m);
  expect(headers(toOwner?.raw ?? '')).not.toMatch(/List-Unsubscribe/i);
  if (link === undefined) throw new Error('the letter bears no link');

  // Written before the click and sent after it: it stays as a file, where the household sees it.
  pages.passDays(1);
  write('joao', 'belt');
  expect(await click(link)).toMatchObject({ status: 200, text: expect.stringContaining('No more mail goes to João') });
  pages.passDays(1);
  write('joao', 'blades');
  write('ines', 'blades');
  expect(await send()).toBe(3);
  expect(server.arrived.map(({ to }) => to)).toEqual([
    ['joao@example.org'],
    ['ines@example.org'],
    ['ines@example.org'],
  ]);
  expect(readdirSync(folder)).toHaveLength(2);

  const shown = await pages.get('/notices');
  expect(shown.text).toMatch(/<strong>João<\/strong><span class="small">since [^<]*1 March/);
  expect((await pages.post('/notices/mail-again', { person: 'joao' })).headers.get('location')).toBe('/notices');
  expect((await pages.get('/notices')).text).not.toContain('Send mail again');
  pages.passDays(1);
  write('joao', 'filter');
  expect(await send()).toBe(1);
  expect(server.arrived.at(-1)?.to).toEqual(['joao@example.org']);

  // The old letter is still in somebody's folder: what was asked for since stands. The new letter's link ends the mail.
  expect((await click(link)).status).toBe(410);
  expect(ended()).toEqual([]);
  expect((await click(linkIn(server.arrived.at(-1)?.raw ?? '') ?? '')).status).toBe(200);
  expect(ended()).toEqual(['joao']);
});

test('a push that no device takes does not become mail after all', async () => {
  const subscription = {
    endpoint: 'https://push.example.net/send/abc',
    p256dh: createECDH('prime256v1').generateKeys('base64url'),
    auth: randomBytes(16).toString('base64url'),
  };
  expect(enterPushDevice(pages.books, 'joao', subscription).kind).toBe('entered');
  await click(path());
  write('joao', 'oil');
  const push: Channel = { kind: 'push', deliver: async () => ({ kind: 'refused', reason: 'no device is left' }) };
  expect(await send(push)).toBe(1);
  expect(server.arrived).toEqual([]);
  expect(readdirSync(folder)).toHaveLength(1);
});

test('the click counts from any site, without cookie or redirect, and twice is once', async () => {
  const more = { origin: 'https://mail.example.net', 'sec-fetch-site': 'cross-site' };
  const first = await click(path(), oneClick, more);
  expect(first).toMatchObject({ status: 200, cookie: undefined });
  expect(first).not.toHaveProperty('location');
  const [since] = mailEnds(pages.books);
  pages.passDays(3);
  expect((await click(path(), oneClick, more)).status).toBe(200);
  expect(mailEnds(pages.books)).toEqual([since]);
});

// RFC 8058 section 3.2: providers may choose multipart/form-data (RFC 7578), from memory.
test('the click counts as multipart too', async () => {
  const body = `--x7\r\nContent-Disposition: form-data; name="List-Unsubscribe"\r\n\r\nOne-Click\r\n--x7--\r\n`;
  const type = { 'content-type': 'multipart/form-data; boundary=x7' };
  expect((await click(path(), body.replace('One-Click', 'Two-Clicks'), type)).status).toBe(400);
  expect((await click(path(), body.replace('x7--', 'x8--'), type)).status).toBe(400);
  expect(ended()).toEqual([]);
  expect((await click(path(), body, type)).status).toBe(200);
  expect(ended()).toEqual(['joao']);
});

test('programs that look at the link change nothing; a person finds one button there', async () => {
  for (const method of ['GET', 'HEAD', 'GET']) expect((await click(path(), '', {}, method)).status).toBe(200);
  const { text } = await click(path(), '', {}, 'GET');
  expect(text.match(/<button/g)).toHaveLength(1);
  expect(text).toContain('name="List-Unsubscribe" value="One-Click"');
  expect(ended()).toEqual([]);
});

test('a body that is not the click changes nothing', async () => {
  for (const body of [
    '',
    'List-Unsubscribe=',
    'List-Unsubscribe=one-click',
    `${oneClick}&${oneClick}`,
    `${oneClick}&a=b`,
  ])
    expect((await click(path(), body)).status, body).toBe(400);
  expect((await click(path(), '{"List-Unsubscribe":"One-Click"}', { 'content-type': 'application/json' })).status).toBe(
    400,
  );
  expect((await click(path(), `${oneClick}${'x'.repeat(20_000)}`)).status).toBe(413);
  expect(ended()).toEqual([]);
});

test('a link with another signature, of another kind, for somebody else, too old, or revoked ends nothing', async () => {
  const { books } = pages;
  const good = mailEndToken(books, 'joao');
  const visit = makePermit(books, { scope: 'visit', subject: 'mail-1', person: 'joao', days: 10 });
  const stranger = makePermit(books, { scope: 'no-mail', subject: 'mail-1', person: 'nobody', days: 10 });
  const changed = `${good.slice(0, -1)}${good.endsWith('A') ? 'B' : 'A'}`;
  for (const token of [changed, good.slice(0, -3), visit, stranger, 'x'])
    expect((await click(`/m/${token}`)).status).toBe(403);
  for (const way of ['v', 'r']) expect((await click(`/${way}/${good}`, '', {}, 'GET')).status).toBe(403);
  expect((await click(`/m/${mailEndToken(books, 'ines')}`)).status).toBe(403);
  pages.passDays(3 * 366 + 2);
  expect((await click(`/m/${good}`)).status).toBe(410);
  const young = mailEndToken(books, 'joao');
  renewPermitKey(books, { revoke: true });
  expect((await click(`/m/${young}`)).status).toBe(403);
  expect(ended()).toEqual([]);
  expect((await click(path())).status).toBe(200);
});

test('no other path may be posted to from elsewhere, and the way back asks for a password', async () => {
  const more = { origin: 'https://mail.example.net' };
  for (const other of ['/notices/mail-again', '/m', `${path()}/more`, '/v/x'])
    expect((await click(other, oneClick, more)).status, other).toBe(403);
  expect((await click('/notices/mail-again', 'person=joao&key=test-key-1')).status).toBe(403);
});

test('hundreds of clicks within a minute are stopped', async () => {
  const statuses: number[] = [];
  for (let one = 0; one < 70; one += 1) statuses.push((await click(`/m/guess-${one}`)).status);
  expect(statuses[0]).toBe(403);
  expect(statuses.at(-1)).toBe(429);
});
