import { request } from 'node:http';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makePermit } from '../../src/ledger/permit.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeAll(async () => {
  pages = await openPages({ address: 'http://shed.test:8377' });
});
afterAll(() => pages.close());

/** A request under any Host, which fetch does not allow. */
function askAs(host: string, path = '/'): Promise<{ status: number; text: string }> {
  return new Promise((done, fail) => {
    const asking = request(`${pages.url}${path}`, { headers: { host } }, (response) => {
      let text = '';
      response.on('data', (chunk) => {
        text += chunk;
      });
      response.on('end', () => done({ status: response.statusCode ?? 0, text }));
    });
    asking.on('error', fail);
    asking.end();
  });
}

const noticed = { text: 'the lift hums when it holds a load' };
const noticedPath = '/machines/bank-tractor/noticed';
const noticedCount = () => pages.outlook().factsVersion;

test('a stranger’s name for this computer gets 421 and no page', async () => {
  for (const host of [
    'evil.example',
    'evil.example:8377',
    'localhost.evil.example',
    '127.0.0.1.evil.example',
    'x@localhost',
  ]) {
    const { status, text } = await askAs(host);
    expect(status, host).toBe(421);
    expect(text).not.toContain('tractor');
  }
});

test('this computer’s own names and the address of the household are answered, on any port', async () => {
  for (const host of ['localhost', 'localhost:8377', '127.0.0.1:1', '[::1]:8377']) {
    expect((await askAs(host)).status, host).toBe(200);
  }
  // Known, but perhaps passed on by a proxy from anywhere: that asks for a password.
  for (const host of ['shed.test', 'SHED.test:8377']) expect((await askAs(host)).status, host).toBe(403);
});

test('the host is judged before the route, for pages that exist and those that do not', async () => {
  expect((await askAs('evil.example', '/nowhere')).status).toBe(421);
  expect((await askAs('evil.example', '/health')).status).toBe(421);
});

test('a form from another site changes nothing', async () => {
  const before = noticedCount();
  const strangers: readonly Record<string, string>[] = [
    { origin: 'https://evil.example' },
    { origin: 'null' },
    { origin: pages.url.replace('127.0.0.1', 'localhost') },
    { 'sec-fetch-site': 'cross-site' },
    { 'sec-fetch-site': 'same-site', origin: pages.url },
    { 'sec-fetch-site': 'cross-site', origin: pages.url },
  ];
  for (const headers of strangers) {
    expect((await pages.post(noticedPath, noticed, headers)).status, JSON.stringify(headers)).toBe(403);
  }
  expect(noticedCount()).toBe(before);
});

test('a form of our own is taken, with Origin and without any of the two headers', async () => {
  expect((await pages.post(noticedPath, noticed, { origin: pages.url, 'sec-fetch-site': 'same-origin' })).status).toBe(
    303,
  );
  expect((await pages.post(noticedPath, { text: 'a drip below the gearbox' })).status).toBe(303);
});

test('a form without its key is refused, so a stranger’s blind form is too', async () => {
  for (const key of ['', 'short', 'with spaces in it', 'x'.repeat(65)]) {
    const { status, text } = await pages.post(noticedPath, { ...noticed, key });
    expect(status).toBe(400);
    expect(text).toContain('Open the page here');
  }
});

test('other methods than GET and POST are refused', async () => {
  for (const method of ['PUT', 'DELETE', 'PATCH']) {
    expect((await fetch(`${pages.url}/`, { method })).status).toBe(405);
  }
});

test('every page forbids inline script and style, framing, and being kept', async () => {
  for (const path of ['/', '/machines/bank-tractor', '/notices', '/nowhere']) {
    const { headers, text } = await pages.get(path);
    const policy = headers.get('content-security-policy') ?? '';
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("style-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|upgrade-insecure/);
    expect(headers.get('strict-transport-security')).toBeNull();
    expect(headers.get('x-content-type-options')).toBe('nosniff');
    expect(headers.get('cache-control')).toBe('no-store');
    expect(headers.get('x-powered-by')).toBeNull();
    expect(text).not.toMatch(/ style="|<style|<script>|\son[a-z]+="/);
  }
});

test('addresses with a signed link are told to nobody else', async () => {
  const token = makePermit(pages.books, { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 10 });
  const { headers, status } = await pages.get(`/r/${token}`);
  expect(status).toBe(200);
  // same-origin sends no address to any other site, and lets our own forms bear their Origin on plain http.
  expect(headers.get('referrer-policy')).toBe('same-origin');
  expect(headers.get('cache-control')).toBe('no-store');
});

test('what a mail program caught behind a link is no part of it, and fifteen thousand brackets are answered like a few', async () => {
  const token = makePermit(pages.books, { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 10 });
  for (const tail of ['.', ')>', `${')'.repeat(100)}x`]) {
    const { status, text } = await pages.get(`/r/${token}${tail}`);
    expect(status, tail).toBe(200);
    expect(text, tail).toContain(`action="/r/${token}"`);
  }
  for (const door of ['v', 'r', 'm']) {
    for (const before of ['', 'abc']) {
      expect((await pages.get(`/${door}/${before}${')'.repeat(15_000)}x`)).status).toBe(403);
    }
  }
});

test('stylesheet and script may be kept, because their address changes with their content', async () => {
  const { text } = await pages.get('/');
  const style = /href="(\/web\/style\.css\?v=[0-9a-f]+)"/.exec(text)?.[1] ?? '';
  const { status, headers } = await pages.get(style);
  expect(status).toBe(200);
  expect(headers.get('cache-control')).toContain('immutable');
  expect((await pages.get('/web/tsconfig.json')).status).toBe(404);
  expect((await pages.get('/web/../package.json')).status).toBe(404);
  expect((await pages.get('/web/%2e%2e/package.json')).status).toBe(404);
});

test('a body too large, of another type, or unreadable gets a page in plain words', async () => {
  const large = await pages.post(noticedPath, { text: 'x'.repeat(20_000) });
  expect(large.status).toBe(413);
  expect(large.text).toContain('Nothing was changed');
  const json = await fetch(`${pages.url}${noticedPath}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: '{"key":"abcdefgh","__proto__":{"x":1}}',
  });
  expect(json.status).toBe(400);
  expect((await pages.get('/machines/%E0%A4%A')).status).toBe(400);
  for (const { text } of [large, await pages.get('/machines/%E0%A4%A')])
    expect(text).not.toMatch(/\n\s+at |node_modules/);
});

test('names that people write are shown, never run', async () => {
  const evil = '<img src=x onerror=alert(1)><script>alert(2)</script>"\'&';
  expect((await pages.post(noticedPath, { text: evil })).status).toBe(303);
  const { text } = await pages.get('/machines/bank-tractor');
  expect(text).not.toContain('<img src=x');
  expect(text).not.toContain('<script>');
  expect(text).toContain('&lt;img src=x');
  const unknown = await pages.get(`/machines/${encodeURIComponent('<b>x</b>')}`);
  expect(unknown.status).toBe(404);
  expect(unknown.text).not.toContain('<b>x');
});

test('health is a small JSON for machines', async () => {
  const { status, text } = await pages.get('/health');
  expect(status).toBe(200);
  expect(JSON.parse(text)).toEqual({
    status: 'ok',
    code: null,
    now: expect.stringMatching(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$/),
    lastTurnAt: expect.stringMatching(/Z$/),
    problems: expect.any(Number),
    signedIn: true,
    database: null,
    loopLagMs: null,
    lastBackupAt: null,
  });
});

test('nothing in all of this was a fault of the pages', () => {
  expect(pages.errors).toEqual([]);
});

test('a name that every object has is no answer page', async () => {
  for (const name of ['__proto__', 'constructor', 'toString']) {
    expect((await pages.get(`/answered/${name}`)).status).toBe(404);
  }
});
