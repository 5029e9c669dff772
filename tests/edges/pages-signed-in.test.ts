import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { hashPassword } from '../../src/pages/guard/password.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const folder = mkdtempSync(join(tmpdir(), 'shedbell-password-'));
const passwordFile = join(folder, 'password');
const password = 'quiet shed in may';
const phone = 'Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Mobile Safari/537.36';
const laptop = 'Mozilla/5.0 (X11; Linux x86_64; rv:1.0) Gecko/20100101';
/** As a proxy passes a request on: it is not made on this computer. */
const away = { 'x-forwarded-for': '192.0.2.44' };

let pages: OpenPages;
beforeEach(async () => {
  writeFileSync(passwordFile, await hashPassword(password));
  pages = await openPages({ address: 'http://shed.test:8377' }, false, undefined, passwordFile);
});
afterEach(async () => {
  await pages.close();
  rmSync(passwordFile, { force: true });
});

/** Signs in and gives the headers of that device. */
async function device(userAgent: string) {
  const headers = { ...away, 'user-agent': userAgent };
  const answer = await pages.post('/sign-in', { password, next: '/' }, headers);
  expect(answer.status).toBe(303);
  return { ...headers, cookie: (answer.headers.get('set-cookie') ?? '').split(';')[0] ?? '' };
}
const wordsOf = (html: string) => html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
const endings = (html: string) =>
  [...html.matchAll(/action="(\/devices\/signed-in\/[^"]+\/end)"/g)].map(([, to = '']) => to);

test('a signed-in device reads what it is, since when and until when, and has the way out first', async () => {
  const mine = await device(phone);
  pages.passDays(3);
  await device(laptop);
  const { status, text } = await pages.get('/devices', mine);
  expect(status).toBe(200);
  expect(wordsOf(text)).toContain(
    'This device is signed in. It is an Android phone, signed in since 28 February, until 27 August',
  );
  expect(wordsOf(text)).toMatch(/Other devices signed in .*A Linux computer Signed in since \w* ?3 March, until/);
  expect(text.indexOf('action="/sign-out"')).toBeLessThan(text.indexOf('<h2'));
  // Its own line is not among the others.
  expect(endings(text)).toHaveLength(1);
});

test('another device is signed out from here, this one stays in; once more changes nothing', async () => {
  const mine = await device(phone);
  const lost = await device(laptop);
  const [end = ''] = endings((await pages.get('/devices', mine)).text);
  for (let n = 0; n < 2; n += 1) expect((await pages.post(end, {}, mine)).status).toBe(303);
  expect((await pages.get('/', lost)).status).toBe(401);
  expect((await pages.get('/', mine)).status).toBe(200);
  expect(wordsOf((await pages.get('/devices', mine)).text)).toContain('Other devices signed in No other.');
});

test('without signing in nobody sees the list or ends anything', async () => {
  const mine = await device(phone);
  const [end = ''] = endings((await pages.get('/devices')).text);
  expect((await pages.get('/devices', away)).status).toBe(401);
  expect((await pages.post(end, {}, away)).status).toBe(401);
  expect((await pages.get('/', mine)).status).toBe(200);
});

test('this computer is not asked, and lists all; the list bears no token and none of an old password', async () => {
  const mine = await device(phone);
  const { text } = await pages.get('/devices');
  expect(wordsOf(text)).toContain('On this computer nobody is asked.');
  expect(endings(text)).toHaveLength(1);
  expect(text).not.toContain('action="/sign-out"');
  expect(text).not.toContain(mine.cookie.split('=')[1]);
  writeFileSync(passwordFile, await hashPassword('another word'));
  expect(wordsOf((await pages.get('/devices')).text)).toContain('Devices signed in None.');
});

test('a session from before devices were written down stands there as a device, with its end', async () => {
  await device(phone);
  pages.books.store.sql.run(`UPDATE sessions SET device = '', begun_at_ms = 0`, {});
  expect(wordsOf((await pages.get('/devices')).text)).toMatch(/A device Signed in until \w+/);
});

test('every page leads there', async () => {
  for (const path of ['/', '/machines/bank-tractor', '/notices', '/set-up', '/nowhere']) {
    expect((await pages.get(path)).text, path).toContain('href="/devices"');
  }
});
