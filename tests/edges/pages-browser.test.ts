import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { openBrowser, phone, pictureFolder } from '../stage/browser.js';
import { homeName, openHomeNetwork } from '../stage/home-network.js';
import type { OpenPages } from '../stage/open-pages.js';
import { pageAddresses, plannedVisit } from '../stage/page-addresses.js';

let home: Awaited<ReturnType<typeof openHomeNetwork>>;
let pages: OpenPages;
let browser: Browser;
let url: string;
const device = (options: BrowserContextOptions) => home.device(browser, options);

beforeAll(async () => {
  home = await openHomeNetwork();
  ({ pages, url } = home);
  browser = await openBrowser([homeName]);
});
afterAll(async () => {
  await browser.close();
  await home.close();
});

/** A page whose complaints are collected: errors, warnings about policies, failed requests. */
async function watchedPage(context: BrowserContext): Promise<{ page: Page; complaints: string[] }> {
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (failure) => complaints.push(failure.message));
  page.on('requestfailed', (request) => complaints.push(`${request.url()} failed`));
  return { page, complaints };
}

const visitOf = (machine: string) => plannedVisit(pages, machine);
const addresses = () => pageAddresses(pages);

test('every page fits a small phone, light and dark, without a complaint on the console', async () => {
  for (const colorScheme of ['light', 'dark'] as const) {
    const context = await device({ ...phone, colorScheme });
    for (const { name, path } of addresses()) {
      const { page, complaints } = await watchedPage(context);
      await page.goto(`${url}${path}`);
      const width = await page.evaluate('document.documentElement.scrollWidth');
      expect(width, `${name} is wider than the phone`).toBeLessThanOrEqual(360);
      await page.screenshot({ path: join(pictureFolder(), `${name}-${colorScheme}.png`), fullPage: true });
      const own = complaints.filter((text) => !(name === 'not-found' && text.includes('404')));
      expect(own, `${name} ${colorScheme}`).toEqual([]);
      await page.close();
    }
    await context.close();
  }
}, 240_000);

function recordsOf(machine: string) {
  return gather(pages.books).machines.find((one) => one.machine === machine)?.records ?? [];
}

test('the first page answers "is there something to do" on the first screen, and leads to the reading in one tap', async () => {
  const context = await device(phone);
  const { page, complaints } = await watchedPage(context);
  await page.goto(url);
  const heading = await page.locator('h1').boundingBox();
  const action = await page.getByRole('link', { name: 'Enter a reading' }).boundingBox();
  expect(heading?.y).toBeLessThan(100);
  expect((action?.y ?? 999) + (action?.height ?? 0)).toBeLessThan(780);
  expect(action?.height).toBeGreaterThanOrEqual(48);
  await page.getByRole('link', { name: 'Enter a reading' }).tap();
  await page.waitForURL('**/reading');
  await page.getByLabel('Hours').fill('388.2');
  await page.getByRole('button', { name: 'Write it down' }).tap();
  await page.waitForURL('**/machines/bank-tractor?entry=reading-*');
  expect(await page.locator('h1').textContent()).toContain('388 h');
  expect(complaints).toEqual([]);
  await context.close();
});

test('everything that is pressed is at least 48 px high, on every page', async () => {
  const context = await device(phone);
  const page = await context.newPage();
  for (const { name, path } of addresses()) {
    await page.goto(`${url}${path}`);
    const small =
      await page.evaluate(`[...document.querySelectorAll('a, button:not(.first-of-form), summary, select, input:not([type=hidden]):not([type=checkbox]):not([type=radio]), label:has(input[type=checkbox]), label:has(input[type=radio])')]
      .filter((one) => one.getClientRects().length > 0 && one.getBoundingClientRect().height < 47.5)
      .map((one) => one.outerHTML.slice(0, 90) + ' ' + one.getBoundingClientRect().height)`);
    expect(small, name).toEqual([]);
  }
  await context.close();
});

test('an independent checker of accessibility finds nothing on any page, light or dark (WCAG 2.2 AA, axe-core)', async () => {
  for (const colorScheme of ['light', 'dark'] as const) {
    const context = await device({ ...phone, colorScheme });
    const page = await context.newPage();
    for (const { name, path } of addresses()) {
      await page.goto(`${url}${path}`);
      const { violations } = await new AxeBuilder({ page })
        .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
        .analyze();
      const found = violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html.slice(0, 120)}`);
      expect(found, `${name}, ${colorScheme}`).toEqual([]);
    }
    await context.close();
  }
}, 120_000);

test('the first page weighs little: under 60 kB on first load, under 15 kB after', async () => {
  const { gzipSync } = await import('node:zlib');
  const weigh = async (path: string) => gzipSync((await pages.get(path)).text).length;
  const { text } = await pages.get('/');
  const assets = [...text.matchAll(/(?:href|src)="(\/web\/[^"]+)"/g)].map((match) => match[1] ?? '');
  const first = (await Promise.all(['/', ...assets].map(weigh))).reduce((sum, bytes) => sum + bytes, 0);
  expect(first).toBeLessThan(60_000);
  for (const { path } of addresses()) expect(await weigh(path), path).toBeLessThan(15_000);
});

test('a plus and a minus move the hours, and the field goes on taking digits', async () => {
  const context = await device(phone);
  const page = await context.newPage();
  await page.goto(`${url}/machines/bank-tractor/reading`);
  const before = Number(await page.getByLabel('Hours').inputValue());
  expect(before).toBeGreaterThan(350);
  // From an emptied field the first press goes back to the estimate.
  await page.getByLabel('Hours').fill('');
  await page.getByRole('button', { name: 'More' }).tap();
  expect(await page.getByLabel('Hours').inputValue()).toBe(String(before));
  await page.getByRole('button', { name: 'More' }).tap();
  await page.getByRole('button', { name: 'More' }).tap();
  await page.getByRole('button', { name: 'Less' }).tap();
  expect(Number(await page.getByLabel('Hours').inputValue())).toBe(before + 1);
  // Stepped away and back, it is what somebody read.
  await page.getByRole('button', { name: 'Less' }).tap();
  await page.getByRole('button', { name: 'Write it down' }).tap();
  await page.waitForURL(/entry=/);
  await context.close();
});

test('an open sheet remembers ticks and typed values when the page is killed and opened again', async () => {
  const context = await device(phone);
  const visit = visitOf('bank-tractor');
  const first = await context.newPage();
  await first.goto(`${url}/visits/${visit.id}/sheet`);
  await first.locator('#step-1').check();
  await first.locator('input[name="task"]').first().uncheck();
  await first.locator('textarea[name="note"]').fill('left side is tight');
  await first.close();
  const second = await context.newPage();
  await second.goto(`${url}/visits/${visit.id}/sheet`);
  expect(await second.locator('#step-1').isChecked()).toBe(true);
  expect(await second.locator('#step-2').isChecked()).toBe(false);
  expect(await second.locator('input[name="task"]').first().isChecked()).toBe(false);
  expect(await second.locator('textarea[name="note"]').inputValue()).toBe('left side is tight');
  await context.close();
});

test('with scripts off the whole loop closes: message link, ticks, hours, confirm, record, undo', async () => {
  const context = await device({ ...phone, javaScriptEnabled: false });
  const { page, complaints } = await watchedPage(context);
  const visit = visitOf('bank-tractor');
  const link = makePermit(pages.books, { scope: 'visit', subject: visit.id, person: 'ines', days: 30 });
  await page.goto(`${url}/v/${link}`);
  expect(await page.locator('h1').textContent()).toContain('bank tractor');
  await page.locator('input[name="task"]').first().uncheck();
  await page.getByLabel('Hours on the meter').fill('388.2');
  await page.getByLabel('Anything else').fill('new washer');
  await page.getByRole('button', { name: 'Yes, it is done' }).tap();
  await page.waitForURL('**/records/*');
  expect(await page.locator('h1').textContent()).toContain('It is written down.');
  await page.screenshot({ path: join(pictureFolder(), 'record-light.png'), fullPage: true });
  expect(recordsOf('bank-tractor')).toEqual([
    expect.objectContaining({ hours: 388.2, by: 'ines', note: 'new washer', visit: visit.id }),
  ]);
  expect(recordsOf('bank-tractor')[0]?.tasks).toHaveLength(visit.tasks.length - 1);
  await page.getByText('Take it back').tap();
  await page.getByRole('button', { name: 'Undo this record' }).tap();
  await page.waitForURL('**/undo');
  expect(await page.locator('h1').textContent()).toContain('It is taken back.');
  expect(recordsOf('bank-tractor')).toEqual([]);
  expect(complaints).toEqual([]);
  await context.close();
});

test('with scripts off a questionable reading is asked about on the same page', async () => {
  const context = await device({ ...phone, javaScriptEnabled: false });
  const { page, complaints } = await watchedPage(context);
  await page.goto(`${url}/machines/paddock-mower/reading`);
  await page.getByLabel('Hours').fill('1888');
  await page.getByRole('button', { name: 'Write it down' }).tap();
  await page.getByText('One question first.').waitFor();
  await page.screenshot({ path: join(pictureFolder(), 'question-light.png'), fullPage: true });
  await page.getByRole('button', { name: 'Forget it' }).tap();
  await page.getByText('One question first.').waitFor({ state: 'detached' });
  expect(complaints).toEqual([]);
  await context.close();
});

test('a refused sheet opens where it says why, with what was typed still there', async () => {
  const context = await device({ ...phone, javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(`${url}/visits/${visitOf('bank-tractor').id}/sheet`);
  await page.fill('textarea[name=note]', 'new seal on the left');
  await page.fill('input[name=hours]', '12');
  await page.getByRole('button', { name: 'Write it down as done' }).tap();
  const said = page.getByText('Not taken.', { exact: false }).last();
  await said.waitFor();
  const box = await said.boundingBox();
  expect(box?.y).toBeGreaterThanOrEqual(0);
  expect(box?.y).toBeLessThan(780);
  expect(await page.inputValue('textarea[name=note]')).toBe('new seal on the left');
  await context.close();
});

test('nothing is lost at 320 px, and a wide screen has the drawing beside the words', async () => {
  const context = await device({ viewport: { width: 320, height: 700 } });
  const narrow = await context.newPage();
  for (const { name, path } of addresses()) {
    await narrow.goto(`${url}${path}`);
    expect(await narrow.evaluate('document.documentElement.scrollWidth'), name).toBeLessThanOrEqual(320);
  }
  await context.close();
  const wide = await device({ viewport: { width: 1280, height: 800 } });
  const page = await wide.newPage();
  await page.goto(url);
  const words = await page.locator('h1').boundingBox();
  const drawing = await page.locator('svg.almanac').boundingBox();
  expect(drawing?.x).toBeGreaterThan((words?.x ?? 0) + (words?.width ?? 0) - 1);
  for (const { name, path } of addresses().filter((one) => ['months-ahead', 'machine', 'sheet'].includes(one.name))) {
    await page.goto(`${url}${path}`);
    await page.screenshot({ path: join(pictureFolder(), `${name}-wide.png`) });
  }
  await wide.close();
});
