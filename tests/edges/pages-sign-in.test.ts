import { chownSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makePermit } from '../../src/ledger/permit.js';
import { hashPassword, isPassword } from '../../src/pages/guard/password.js';
import { ownPath } from '../../src/pages/guard/sign-in.js';
import { builtCommand, removeHome, requireBuilt, stageCommandHome } from '../stage/command.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const folder = mkdtempSync(join(tmpdir(), 'shedbell-password-'));
const passwordFile = join(folder, 'password');
/** As a proxy passes a request on: it is not made on this computer. */
const away = { 'x-forwarded-for': '192.0.2.44' };
const password = 'quiet shed in may';

let pages: OpenPages;
let locked: OpenPages;
beforeAll(async () => {
  requireBuilt();
  writeFileSync(passwordFile, await hashPassword(password));
  pages = await openPages({ address: 'http://shed.test:8377' });
  locked = await openPages(
    {
      address: 'http://shed.test:8377',
      http: { host: '0.0.0.0', port: 8377, proxy: { addresses: ['192.0.2.1'], userHeader: 'Remote-User' } },
    },
    false,
    undefined,
    passwordFile,
  );
});
afterAll(async () => {
  await pages.close();
  await locked.close();
  rmSync(folder, { recursive: true, force: true });
});

async function signIn(): Promise<string> {
  const { status, headers } = await locked.post('/sign-in', { password, next: '/machines' }, away);
  expect({ status, to: headers.get('location') }).toEqual({ status: 303, to: '/machines' });
  return headers.get('set-cookie') ?? '';
}
const cookieIn = (set: string) => ({ ...away, cookie: set.split(';')[0] ?? '' });

test('on this computer itself nobody is asked', async () => {
  expect((await locked.get('/')).status).toBe(200);
  expect((await pages.get('/')).status).toBe(200);
});

test('from elsewhere without a password set, every page says how to set one and nothing of the household', async () => {
  for (const path of ['/', '/machines/bank-tractor', '/notices', '/set-up', '/nowhere']) {
    const { status, text } = await pages.get(path, away);
    expect(status, path).toBe(403);
    expect(text).toContain('shedbell password');
    expect(text).not.toMatch(/tractor|mower/i);
  }
  expect((await pages.post('/sign-in', { password: '' }, away)).status).toBe(403);
});

test.each([
  ['x-forwarded-for', '127.0.0.1'],
  ['forwarded', 'for=127.0.0.1'],
  ['via', '1.1 gate'],
  ['x-real-ip', '127.0.0.1'],
  ['x-forwarded-proto', 'https'],
  ['host', 'shed.test'],
])('what bears %s came from elsewhere, whatever it says', async (name, value) => {
  const status = await new Promise((done, fail) => {
    const asking = request(`${locked.url}/`, { headers: { [name]: value } }, (response) => {
      response.resume();
      done(response.statusCode);
    });
    asking.on('error', fail);
    asking.end();
  });
  expect(status).toBe(401);
});

test('the right password opens every page, by a cookie that no script reads, until it is given back', async () => {
  const asked = await locked.get('/machines?x=1', away);
  expect(asked.status).toBe(401);
  expect(asked.text).toContain('value="/machines?x=1"');
  const set = await signIn();
  expect(set).toMatch(/^shedbell=[\w-]{43}; Max-Age=\d+; Path=\/; Expires=[^;]+; HttpOnly; SameSite=Lax$/);
  expect((await locked.get('/machines', cookieIn(set))).text).toContain('Bank tractor');
  expect((await locked.post('/machines/bank-tractor/noticed', { text: 'it hums' }, cookieIn(set))).status).toBe(303);
  expect(JSON.parse((await locked.get('/health', cookieIn(set))).text).signedIn).toBe(true);
  expect((await locked.post('/sign-out', {}, cookieIn(set))).status).toBe(303);
  expect((await locked.get('/machines', cookieIn(set))).status).toBe(401);
});

test('a cookie of the same name that another program of this computer set locks nobody out, and signing out ends the session all the same', async () => {
  const own = (await signIn()).split(';')[0] ?? '';
  const planted = `shedbell=${'x'.repeat(43)}`;
  for (const cookie of [`${planted}; ${own}`, `${own}; ${planted}`, `shedbell=; ${planted}; ${own}`]) {
    expect((await locked.get('/machines', { ...away, cookie })).status, cookie).toBe(200);
  }
  expect((await locked.get('/machines', { ...away, cookie: planted })).status).toBe(401);
  expect((await locked.get('/devices', { ...away, cookie: `${planted}; ${own}` })).text).toContain(
    'This device is signed in.',
  );
  expect((await locked.post('/sign-out', {}, { ...away, cookie: `${planted}; ${own}` })).status).toBe(303);
  expect((await locked.get('/machines', { ...away, cookie: own })).status).toBe(401);
});

test('a session ends after half a year, and with the password it was begun with', async () => {
  const set = await signIn();
  writeFileSync(passwordFile, await hashPassword(password));
  expect((await locked.get('/', cookieIn(set))).status).toBe(401);
  const again = await signIn();
  expect((await locked.get('/', cookieIn(again))).status).toBe(200);
  const kept = locked.books.store.sql.rows('SELECT hash FROM sessions').map((row) => String(row.hash));
  expect(kept.join(' ')).not.toContain(again.slice(9, 52));
  locked.passDays(181);
  expect((await locked.get('/', cookieIn(again))).status).toBe(401);
});

test('an entry without a session is not taken, and no answer looks as if it were', async () => {
  const before = locked.outlook().factsVersion;
  const refused = await locked.post('/machines/bank-tractor/noticed', { text: 'it hums' }, away);
  expect(refused.status).toBe(401);
  expect(refused.text).toContain('Nothing was written down');
  expect(JSON.parse((await locked.get('/health', away)).text).signedIn).toBe(false);
  expect(locked.outlook().factsVersion).toBe(before);
});

test('the question about a reading that came by a link is answered behind the link, without signing in', async () => {
  const token = makePermit(locked.books, { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 10 });
  const link = `/r/${token}`;
  const asked = await locked.post(link, { hours: '3880' }, away);
  expect(asked.headers.get('location')).toBe(link);
  const { text } = await locked.get(link, away);
  expect(text).toContain('One question first.');
  const [, form = ''] = text.match(/<form class="said"([\s\S]*?)<\/form>/) ?? [];
  expect(form).toContain(`action="${link}"`);
  const [, aside = ''] = form.match(/name="aside" value="([^"]+)"/) ?? [];
  const answer = (what: string) => locked.post(link, { aside, answer: what }, away);
  const forgotten = await answer('drop');
  expect([forgotten.status, forgotten.headers.get('location')]).toEqual([303, link]);
  expect((await locked.get(link, away)).text).not.toContain('One question first.');
  // By an impatient thumb once more: nothing is left to forget.
  expect((await answer('drop')).status).toBe(303);
});

test('signed links, calendar, health and style stay open, and a link shows what it wrote down', async () => {
  const token = makePermit(locked.books, { scope: 'reading', subject: 'bank-tractor', person: 'ines', days: 10 });
  expect((await locked.get(`/r/${token}`, away)).status).toBe(200);
  const taken = await locked.post(`/r/${token}`, { hours: '390' }, away);
  expect(taken.status).toBe(303);
  const to = taken.headers.get('location') ?? '';
  const set = taken.headers.get('set-cookie') ?? '';
  expect(set).toContain('Path=/machines/bank-tractor;');
  expect((await locked.get(to, cookieIn(set))).status).toBe(200);
  expect((await locked.get(to, away)).status).toBe(401);
  expect((await locked.get('/machines/paddock-mower', cookieIn(set))).status).toBe(401);
  expect((await locked.get('/health', away)).status).toBe(200);
  expect((await locked.get('/calendar/nonsense.ics', away)).status).toBe(404);
  expect((await locked.get('/web/style.css', away)).status).not.toBe(401);
  expect((await locked.post('/calendar/renew', { was: 'x' }, away)).status).toBe(401);
});

test('where the household says so, this computer itself is asked too: behind a proxy that adds no header, all look like it', async () => {
  const asking = await openPages(
    { address: 'http://shed.test:8377', http: { host: '127.0.0.1', port: 8377, askHere: true } },
    false,
    undefined,
    passwordFile,
  );
  expect((await asking.get('/')).status).toBe(401);
  expect((await asking.post('/machines/bank-tractor/noticed', { text: 'it hums' })).status).toBe(401);
  expect((await asking.get('/health')).status).toBe(200);
  const { headers } = await asking.post('/sign-in', { password, next: '/' });
  const cookie = { cookie: (headers.get('set-cookie') ?? '').split(';')[0] ?? '' };
  expect((await asking.get('/machines', cookie)).text).toContain('Bank tractor');
  expect((await asking.get('/devices', cookie)).text).toContain('This device is signed in.');
  expect((await asking.get('/sign-in', cookie)).text).toContain('Sign out on this device');
  await asking.close();
});

test('a header of a proxy that is not trusted by its address vouches for nobody', async () => {
  expect((await locked.get('/', { ...away, 'remote-user': 'ines' })).status).toBe(401);
  const trusting = await openPages({
    http: { host: '0.0.0.0', port: 8377, proxy: { addresses: ['127.0.0.1'], userHeader: 'Remote-User' } },
  });
  expect((await trusting.get('/', { ...away, 'remote-user': 'ines' })).status).toBe(200);
  expect((await trusting.get('/', away)).status).toBe(403);
  await trusting.close();
});

test('after ten tries a quarter of an hour passes', async () => {
  const guarded = await openPages({}, true, undefined, passwordFile);
  for (let i = 0; i < 10; i += 1) {
    const { status, text } = await guarded.post('/sign-in', { password: `guess ${i}` }, away);
    expect(status).toBe(401);
    expect(text).toContain('That is not the password');
  }
  expect((await guarded.post('/sign-in', { password }, away)).status).toBe(429);
  // Another device behind the same proxy; what stands before the proxy's own word is what somebody claims.
  const other = (claimed: string) => ({ 'x-forwarded-for': `${claimed}192.0.2.44` });
  expect((await guarded.post('/sign-in', { password }, other('192.0.2.45, '))).status).toBe(429);
  expect((await guarded.post('/sign-in', { password }, { 'x-forwarded-for': '192.0.2.45' })).status).toBe(303);
  await guarded.close();
});

test('a password that came over https gives a cookie that goes nowhere else', async () => {
  const secure = await openPages({ address: 'https://shed.test' }, true, undefined, passwordFile);
  const headers = { ...away, 'x-forwarded-proto': 'https' };
  const set = (await secure.post('/sign-in', { password }, headers)).headers.get('set-cookie');
  expect(set).toMatch(/; Secure/);
  await secure.close();
});

test('the way back leads nowhere else', () => {
  for (const path of ['//evil.example', '/\\evil.example', 'https://evil.example', '', 'machines', '/a\nb'])
    expect(ownPath(path)).toBe('/');
  expect(ownPath('/machines/bank-tractor?entry=reading-1')).toBe('/machines/bank-tractor?entry=reading-1');
});

test('a file that is no password of ours opens nothing, and asks for no gigabytes', async () => {
  for (const kept of ['', 'hello', 'scrypt 31 8 1 AAAAAAAAAAAAAAAA AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA'])
    expect(await isPassword(password, kept)).toBe(false);
  expect(await isPassword(password, await hashPassword(password))).toBe(true);
  expect(await isPassword(`${password}!`, await hashPassword(password))).toBe(false);
});

test.skipIf(process.getuid?.() !== 0)('a password set as root can be read by the user whose folder it is', async () => {
  const dir = stageCommandHome();
  chownSync(dir, 61_234, 61_234);
  expect(await builtCommand(['--home', dir, 'password'], { input: `${password}\n` })).toMatchObject({ status: 0 });
  const owners = [join(dir, 'data'), join(dir, 'data', 'password')].map((path) => statSync(path).uid);
  expect(owners).toEqual([61_234, 61_234]);
  removeHome(dir);
});

test('shedbell password takes one line, keeps it readable by its owner only, and refuses a short one', async () => {
  const dir = stageCommandHome();
  const short = await builtCommand(['--home', dir, 'password'], { input: 'short\n' });
  expect(short).toMatchObject({ status: 2, out: '' });
  expect(await builtCommand(['--home', dir, 'password'], { input: `${password}\nmore\n` })).toMatchObject({
    status: 0,
  });
  expect(statSync(join(dir, 'data', 'password')).mode & 0o777).toBe(0o600);
  removeHome(dir);
});
