import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { openBrowser, phone } from '../stage/browser.js';
import { homeName, openHomeNetwork } from '../stage/home-network.js';
import type { OpenPages } from '../stage/open-pages.js';

let home: Awaited<ReturnType<typeof openHomeNetwork>>;
let pages: OpenPages;
let browser: Browser;
let context: BrowserContext;
/** Plain http under a name that is not this computer's own: no service worker runs there. */
let url: string;

beforeAll(async () => {
  browser = await openBrowser([homeName]);
});
afterAll(() => browser.close());
beforeEach(async () => {
  home = await openHomeNetwork();
  ({ pages, url } = home);
  context = await home.device(browser, phone);
});
afterEach(async () => {
  await context.close();
  await home.close();
});

const readingsOf = (machine: string) =>
  gather(pages.books)
    .machines.find((one) => one.machine === machine)
    ?.readings.map(({ hours }) => hours) ?? [];

test('a reading entered without signal waits in sight, and is sent once when the signal is back', async () => {
  const before = readingsOf('bank-tractor');
  const page = await context.newPage();
  await page.goto(`${url}/machines/bank-tractor/reading`);
  await context.setOffline(true);
  await page.fill('#hours', '388.4');
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  expect(await page.textContent('#waiting')).toContain('1 entry waits for signal: A reading of the bank tractor.');
  // Pressed again, the same form is still one entry.
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  expect(await page.textContent('#waiting')).toContain('1 entry waits');
  expect(readingsOf('bank-tractor')).toEqual(before);
  await context.setOffline(false);
  await page.waitForSelector('#waiting', { state: 'detached' });
  expect(readingsOf('bank-tractor')).toEqual([...before, 388.4]);
});

test('an entry whose sending fails after the service had answered waits, and counts once although it had arrived', async () => {
  const before = readingsOf('bank-tractor');
  const page = await context.newPage();
  await page.goto(`${url}/machines/bank-tractor/reading`);
  // The first time it does not get there; the second time only its answer is lost.
  let tries = 0;
  await page.route('**/machines/bank-tractor/reading', async (route) => {
    if (route.request().method() !== 'POST') return route.continue();
    tries += 1;
    if (tries === 2) {
      // Node does not know the name that only the browser was told.
      const { host } = new URL(url);
      const headers = { ...(await route.request().allHeaders()), host };
      await route.fetch({ url: route.request().url().replace(homeName, '127.0.0.1'), headers, maxRedirects: 0 });
    }
    return tries > 2 ? route.continue() : route.abort('connectionreset');
  });
  await page.fill('#hours', '388.4');
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  expect(await page.inputValue('#hours')).toBe('388.4');
  expect(readingsOf('bank-tractor')).toEqual(before);
  await page.click('text=Try now');
  await expect.poll(() => readingsOf('bank-tractor')).toEqual([...before, 388.4]);
  await page.click('text=Try now');
  await page.waitForSelector('#waiting', { state: 'detached' });
  expect(readingsOf('bank-tractor')).toEqual([...before, 388.4]);
});

test('a phone that was switched off in between sends what waits when any page is opened', async () => {
  const before = readingsOf('bank-tractor').length;
  const page = await context.newPage();
  await page.goto(`${url}/machines/bank-tractor/reading`);
  await context.setOffline(true);
  await page.fill('#hours', '389');
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  await page.close();
  await context.setOffline(false);
  const next = await context.newPage();
  await next.goto(`${url}/`);
  await next.waitForFunction(() => localStorage.getItem('waiting') === null);
  expect(readingsOf('bank-tractor')).toHaveLength(before + 1);
  const reading = gather(pages.books)
    .machines.find((one) => one.machine === 'bank-tractor')
    ?.readings.at(-1);
  expect(reading?.hours).toBe(389);
  // Of the moment when it was read, by the clock of the service.
  expect(Math.abs((reading?.atMs ?? 0) - pages.books.clock.nowMs())).toBeLessThan(120_000);
});

test('an entry that the service refuses stays in sight until a person drops it', async () => {
  const before = readingsOf('bank-tractor');
  const page = await context.newPage();
  await page.goto(`${url}/machines/bank-tractor/reading`);
  await context.setOffline(true);
  await page.fill('#hours', '12');
  await page.click('text=Write it down');
  await page.waitForSelector('#waiting');
  await context.setOffline(false);
  await page.waitForSelector('text=was not taken');
  expect(await page.textContent('#waiting')).toMatch(/was not taken: .*12 h.* Open its page/);
  expect(readingsOf('bank-tractor')).toEqual(before);
  await page.click('text=Drop it here');
  await page.waitForSelector('#waiting', { state: 'detached' });
});

test('a bench sheet confirmed without signal becomes one record, with what was ticked', async () => {
  const visit = pages.outlook().visits.find((one) => one.machine === 'bank-tractor');
  if (visit === undefined) throw new Error('nothing is planned');
  const page = await context.newPage();
  await page.goto(`${url}/visits/${visit.id}/sheet`);
  const button = page.locator('form[data-sheet] button.main').last();
  await context.setOffline(true);
  await page.fill('form[data-sheet] [name=hours]', '388');
  await button.click();
  await page.waitForSelector('#waiting');
  expect(await page.textContent('#waiting')).toContain('The sheet of the bank tractor');
  await context.setOffline(false);
  await page.waitForSelector('#waiting', { state: 'detached' });
  const records = gather(pages.books).machines.find((one) => one.machine === 'bank-tractor')?.records ?? [];
  expect(records.filter((record) => record.visit === visit.id)).toHaveLength(1);
});
