import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { openBrowser, phone } from '../stage/browser.js';
import { openHomeNetwork, trustedName } from '../stage/home-network.js';
import type { OpenPages } from '../stage/open-pages.js';

let home: Awaited<ReturnType<typeof openHomeNetwork>>;
let pages: OpenPages;
let browser: Browser;
let context: BrowserContext;
let url: string;

beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(() => browser.close());
beforeEach(async () => {
  home = await openHomeNetwork(trustedName);
  ({ pages, url } = home);
  context = await home.device(browser, phone);
});
afterEach(async () => {
  await context.close();
  await home.close();
});

const reading = '/machines/bank-tractor/reading';

function sheetPath() {
  const visit = pages.outlook().visits.find((one) => one.machine === 'bank-tractor');
  if (visit === undefined) throw new Error('nothing is planned');
  return `/visits/${visit.id}/sheet`;
}

function factsOf(machine: string) {
  const facts = gather(pages.books).machines.find((one) => one.machine === machine);
  if (facts === undefined) throw new Error(`nothing is known of ${machine}`);
  return facts;
}

/** Addresses of the pages kept in this browser, the oldest first. */
const kept = (page: Page): Promise<string[]> =>
  page.evaluate(
    `caches.open('pages').then((pages) => pages.keys()).then((all) => all.map(({ url }) => new URL(url).pathname))`,
  );

/** Opens pages one after another until each is kept. */
async function openAll(paths: readonly string[]): Promise<Page> {
  const page = await context.newPage();
  for (const path of paths) {
    await page.goto(`${url}${path}`);
    await expect.poll(() => kept(page)).toContain(path);
  }
  return page;
}

/** A page opened anew after the one before was killed. */
async function openAnew(before: Page, path: string): Promise<Page> {
  await before.close();
  const page = await context.newPage();
  await page.goto(`${url}${path}`);
  return page;
}

test('a sheet opened before opens again without the service, ticks kept; what is confirmed on it is sent once later', async () => {
  const path = sheetPath();
  const first = await openAll([path]);
  await first.locator('#step-1').check();
  await first.fill('textarea[name=note]', 'left side is tight');
  pages.cut();
  const page = await openAnew(first, path);
  expect(await page.textContent('#copy')).toMatch(/^This is the copy of \w+ \d+ \w+, \d\d:\d\d: the service does not/);
  expect(await page.locator('#step-1').isChecked()).toBe(true);
  expect(await page.inputValue('textarea[name=note]')).toBe('left side is tight');
  // Styled as ever: the files of the page are kept too.
  expect(await page.evaluate(`getComputedStyle(document.querySelector('.act.main')).minHeight`)).toBe('52px');
  await page.fill('form[data-sheet] [name=hours]', '388');
  await page.fill('form[data-sheet] [name=day]', '2026-02-28');
  await page.locator('form[data-sheet] button.main').last().click();
  await page.waitForSelector('#waiting');
  expect(await page.textContent('#waiting')).toContain('1 entry waits for signal: The sheet of the bank tractor');
  pages.cut(false);
  await page.click('text=Try now');
  await page.waitForSelector('#waiting', { state: 'detached' });
  const records = factsOf('bank-tractor').records;
  expect(records.map(({ hours, note }) => ({ hours, note }))).toEqual([{ hours: 388, note: 'left side is tight' }]);
});

test('home, machine and reading page open without the service, and a page never opened here names those that are kept', async () => {
  const first = await openAll(['/', '/machines', '/machines/bank-tractor', reading]);
  pages.cut();
  let page = first;
  for (const path of ['/', '/machines', '/machines/bank-tractor', reading]) {
    page = await openAnew(page, path);
    expect(await page.locator('#copy').count(), path).toBe(1);
  }
  await page.goto(`${url}/machines/paddock-mower`);
  expect(await page.textContent('h1')).toBe('The service does not answer.');
  const ways = await page.locator('.ways a').evaluateAll((all) => all.map((one) => one.getAttribute('href')));
  expect(ways).toEqual([reading, '/machines/bank-tractor', '/machines', '/']);
  await page.click(`.ways a[href="${reading}"]`);
  await page.waitForSelector('#copy');
});

test('two runs of the same length from the same copy are two runs', async () => {
  const path = '/machines/hedge-cutter/reading';
  const before = factsOf('hedge-cutter').toldRuns.length;
  let page = await openAll([path]);
  for (let run = 1; run <= 2; run += 1) {
    pages.cut();
    page = await openAnew(page, path);
    await page.fill('[name=minutes]', '30');
    await page.click('text=Write it down');
    await page.waitForSelector('#waiting');
    pages.cut(false);
    await page.click('text=Try now');
    await page.waitForSelector('#waiting', { state: 'detached' });
    expect(factsOf('hedge-cutter').toldRuns).toHaveLength(before + run);
    pages.passDays(2);
  }
});

test('while the service answers, no copy is shown: a page is always as it is now', async () => {
  const page = await openAll([reading, '/machines/bank-tractor']);
  expect(await page.textContent('h1')).not.toContain('397 h');
  await page.goto(`${url}${reading}`);
  await page.fill('#hours', '397');
  await page.click('text=Write it down');
  await page.waitForURL('**/machines/bank-tractor?entry=*');
  await page.goto(`${url}/machines/bank-tractor`);
  expect(await page.textContent('h1')).toContain('397 h');
  expect(await page.locator('#copy').count()).toBe(0);
});

test('a copy says once the service answers again, and leads to the page as it is now', async () => {
  const first = await openAll([reading]);
  pages.cut();
  const page = await openAnew(first, reading);
  await page.waitForSelector('#copy');
  pages.cut(false);
  await page.evaluate(`dispatchEvent(new Event('online'))`);
  await page.click('text=Show the page as it is now');
  await page.waitForSelector('#copy', { state: 'detached' });
  expect(await page.locator('#hours').count()).toBe(1);
});

test('links in messages, set-up, notices, devices, sign-in and errors are not kept, nor what has just been written down', async () => {
  const visit = makePermit(pages.books, {
    scope: 'visit',
    subject: sheetPath().split('/')[2] ?? '',
    person: 'ines',
    days: 9,
  });
  const meter = makePermit(pages.books, { scope: 'reading', subject: 'paddock-mower', person: 'ines', days: 9 });
  const page = await openAll(['/']);
  const others = [
    `/v/${visit}`,
    `/r/${meter}`,
    '/set-up',
    '/set-up/mail',
    '/notices',
    '/devices',
    '/sign-in',
    '/nowhere',
  ];
  for (const path of [...others, '/machines/none', '/machines/bank-tractor?entry=none'])
    await page.goto(`${url}${path}`);
  await page.goto(`${url}/machines`);
  await expect.poll(() => kept(page)).toEqual(['/', '/machines']);
});

test('no page that may be kept bears a signed link or the address of the calendar', async () => {
  await pages.post('/calendar/begin', {});
  const asked = ['/', '/machines', '/machines/bank-tractor', reading, '/machines/bank-tractor/label', sheetPath()];
  for (const path of asked) {
    const { text, headers } = await pages.get(path);
    expect(headers.get('keep-copy'), path).toBe('yes');
    expect(text, path).not.toMatch(/\/(v|r|calendar)\/[\w-]{10}/);
  }
  for (const path of [
    '/notices',
    '/set-up/mail',
    '/devices',
    '/sign-in',
    '/health',
    '/machines/bank-tractor?entry=x',
  ]) {
    expect((await pages.get(path)).headers.get('keep-copy'), path).toBeNull();
  }
});

test('after signing out, a device shows nothing without the service', async () => {
  const page = await openAll(['/', reading]);
  await page.goto(`${url}/sign-in`);
  await page.click('text=Sign out on this device');
  await page.waitForSelector('form[action="/sign-in"]');
  await expect.poll(() => kept(page)).toEqual([]);
  pages.cut();
  for (const path of ['/', reading]) await expect(page.goto(`${url}${path}`)).rejects.toThrow('ERR_');
});

test('signing out without signal empties the device too', async () => {
  const page = await openAll(['/', reading]);
  await page.goto(`${url}/sign-in`);
  pages.cut();
  await page.click('text=Sign out on this device');
  await expect.poll(() => kept(page).catch(() => null)).not.toEqual(['/', reading]);
  const next = await context.newPage();
  await expect(next.goto(`${url}${reading}`)).rejects.toThrow('ERR_');
});

test('a device whose session is over shows nothing once it was told so', async () => {
  const page = await openAll(['/', reading]);
  pages.passDays(181);
  await page.goto(`${url}/machines`);
  await page.waitForSelector('form[action="/sign-in"]');
  await expect.poll(() => kept(page)).toEqual([]);
  pages.cut();
  await expect(page.goto(`${url}${reading}`)).rejects.toThrow('ERR_');
});

test('the newest thirty pages are kept', async () => {
  const page = await openAll(['/']);
  await page.evaluate(
    `caches.open('pages').then((pages) => Promise.all(Array.from({ length: 40 }, (_, n) => pages.put('/machines/old-' + n, new Response('')))))`,
  );
  await page.goto(`${url}/machines`);
  await expect.poll(async () => (await kept(page)).length).toBe(30);
  expect((await kept(page)).at(-1)).toBe('/machines');
});

test('a proxy that does not reach the service counts as no answer: the copy is shown, and what is entered waits', async () => {
  const before = factsOf('hedge-cutter').toldRuns.length;
  const path = '/machines/hedge-cutter/reading';
  let page = await openAll(['/', path]);
  for (const status of [502, 503, 504]) {
    pages.unreached(status);
    page = await openAnew(page, path);
    expect(await page.textContent('#copy'), String(status)).toMatch(/^This is the copy of \w+ \d+ \w+, \d\d:\d\d:/);
  }
  await page.fill('[name=minutes]', '25');
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  await page.click('text=Try now');
  // Never opened here: the pages that are kept are named, not the proxy's own words.
  const other = await context.newPage();
  await other.goto(`${url}/machines/paddock-mower`);
  expect(await other.textContent('h1')).toBe('The service does not answer.');
  expect(await other.locator(`.ways a[href="${path}"]`).count()).toBe(1);
  await other.close();
  expect(await page.locator('#waiting').count()).toBe(1);
  expect(factsOf('hedge-cutter').toldRuns).toHaveLength(before);
  pages.unreached(null);
  await page.click('text=Try now');
  await page.waitForSelector('#waiting', { state: 'detached' });
  expect(factsOf('hedge-cutter').toldRuns).toHaveLength(before + 1);
});

test('a page of a proxy that calls itself a success, or says that there is no such page, takes no entry and no copy', async () => {
  const before = factsOf('hedge-cutter').toldRuns.length;
  const path = '/machines/hedge-cutter/reading';
  const page = await openAll([path]);
  pages.cut();
  await page.fill('[name=minutes]', '25');
  // Of an earlier hour: it is sent without asking the time first.
  await page.locator('[name=at]').evaluate((field) => {
    (field as unknown as { value: string }).value = '2026-02-27T10:00';
  });
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  pages.cut(false);
  for (const status of [200, 404]) {
    pages.unreached(status);
    const answered = page.waitForResponse((answer) => answer.request().method() === 'POST');
    await page.click('text=Try now');
    await (await answered).finished();
    expect(await page.textContent('#waiting')).toContain('1 entry waits for signal');
    const passing = await context.newPage();
    await passing.goto(`${url}${path}`);
    await passing.close();
    expect(await kept(page)).toEqual([path]);
  }
  pages.unreached(null);
  await page.click('text=Try now');
  await page.waitForSelector('#waiting', { state: 'detached' });
  expect(factsOf('hedge-cutter').toldRuns).toHaveLength(before + 1);
});
