import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser, phone } from '../stage/browser.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';
import { pageAddresses } from '../stage/page-addresses.js';

// WCAG 2.2, success criteria 1.4.4 (resize text) and 1.4.10 (reflow), in a household with US units whose machines bear names of one word.

const longName = 'Kompaktschlepperfrontladerschwingenverriegelung';
const longest = 'Donaudampfschifffahrtsgeneratorenanhängerkombination';

let pages: OpenPages;
let browser: Browser;
beforeAll(async () => {
  pages = await openPages({ units: 'us', locale: 'en-US', coldestCelsius: -20 }, false, (home) => ({
    ...home,
    machines: home.machines.map((machine) => {
      if (machine.id === 'bank-tractor') return { ...machine, name: longName };
      return machine.id === 'shed-generator' ? { ...machine, name: longest } : machine;
    }),
  }));
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  await pages.close();
});

async function open(width: number, path: string, letters = '100%'): Promise<Page> {
  const context = await browser.newContext({ ...phone, viewport: { width, height: 780 } });
  const page = await context.newPage();
  await page.goto(`${pages.url}${path}`);
  await page.evaluate(`document.documentElement.style.fontSize = '${letters}'`);
  return page;
}

test.each([
  ['320 px wide', 320, '100%'],
  ['letters of twice the size', 360, '200%'],
])(
  '%s: a name of one long word makes no page wider than the screen',
  async (_what, width, letters) => {
    const page = await open(width, '/', letters);
    const wide: string[] = [];
    for (const { name, path } of pageAddresses(pages)) {
      await page.goto(`${pages.url}${path}`);
      await page.evaluate(`document.documentElement.style.fontSize = '${letters}'`);
      const reached = Number(await page.evaluate('document.documentElement.scrollWidth'));
      if (reached > width) wide.push(`${name} is ${reached} px wide`);
    }
    expect(wide).toEqual([]);
    await page.context().close();
  },
  120_000,
);

test('a long name is whole beside the visits of the first page, on two lines', async () => {
  const page = await open(360, '/');
  const label = page.locator('svg a', { hasText: 'Kompaktschlepper' }).first();
  const lines = await label.locator('.who').allTextContents();
  expect(lines).toHaveLength(2);
  expect(lines.join('')).toBe(longName);
  await page.context().close();
});

test('with letters of twice the size the visits are a list, because the letters of a drawing do not grow', async () => {
  const page = await open(360, '/');
  const links = (within: string) =>
    page.locator(`${within} a`).evaluateAll((all) => all.map((one) => one.getAttribute('href')));
  expect(await page.locator('svg.almanac').isVisible()).toBe(true);
  expect(await page.locator('.instead').isVisible()).toBe(false);
  const drawn = await links('svg.almanac');
  expect(drawn.length).toBeGreaterThan(3);
  await page.evaluate(`document.documentElement.style.fontSize = '200%'`);
  expect(await page.locator('svg.almanac').isVisible()).toBe(false);
  expect(await page.locator('.instead').isVisible()).toBe(true);
  expect(await links('.instead')).toEqual(drawn);
  await page.context().close();
});

test.each([
  ['320 px wide', 320, '100%'],
  ['letters of twice the size', 360, '200%'],
])('%s: 1,234.5 h are seen whole in the field of a reading', async (_what, width, letters) => {
  const page = await open(width, '/machines/bank-tractor/reading', letters);
  const field = page.locator('input.numeral');
  await field.fill('1234.5');
  const [needed, room] = await field.evaluate((one) => [one.scrollWidth, one.clientWidth]);
  expect(needed).toBeLessThanOrEqual(room ?? 0);
  await page.context().close();
});

test('the sheet to copy onto is read downwards on a phone, with room to write in on paper', async () => {
  const page = await open(360, '/set-up/machines/bank-tractor/copy');
  const row = page.getByRole('row', { name: 'front tyres' });
  const cells = page.locator('tr', { hasText: 'front tyres, its limits' }).locator('td');
  const [what, known] = await cells.evaluateAll((all) => all.map((one) => one.getBoundingClientRect().top));
  expect(known).toBeGreaterThan(what ?? 0);
  expect(await cells.nth(2).isVisible()).toBe(false);
  await page.setViewportSize({ width: 703, height: 1000 });
  await page.emulateMedia({ media: 'print' });
  expect(await row.isVisible()).toBe(true);
  expect((await cells.nth(2).boundingBox())?.width).toBeGreaterThan(150);
  await page.context().close();
});

test('the sheet to copy onto speaks in the household’s units and knows its coldest night', async () => {
  const text = (await pages.get('/set-up/machines/bank-tractor/copy')).text.replaceAll('\u00a0', ' ');
  // 3.8 L are 4.0 US qt: NIST SP 811 (2008) App. B.8, 1 US qt = 0.946352946 L.
  expect(text).toContain('<td>engine oil, how much and which</td><td>4 US qt (3.8 L), ');
  // The coldest night of -20 °C less the plan's 8 °C, to the whole degree on the cold side.
  expect(text).toContain('protects to −19 °F or colder: your coldest night is −4 °F');
  expect(text).not.toContain('coldest night is not known');
});

test.each([
  ['/machines/bank-tractor/logbook', '/machines/bank-tractor', longName],
  ['/machines/bank-tractor/stock', '/machines/bank-tractor', longName],
  ['/machines/bank-tractor/why/engine-oil', '/machines/bank-tractor', longName],
  ['/machines/bank-tractor', '/', 'Months ahead'],
  ['/set-up/mail', '/set-up', 'Setting up'],
  ['/set-up/machines/bank-tractor/tasks/engine-oil', '/set-up/machines/bank-tractor', longName],
  [
    '/set-up/machines/bank-tractor/tasks/engine-oil/add/part',
    '/set-up/machines/bank-tractor/tasks/engine-oil',
    'Change engine oil and filter',
  ],
])('%s leads back to the page that it belongs to', async (path, href, text) => {
  const page = (await pages.get(path)).text;
  expect(page).toContain(`<nav class="back" aria-label="Back"><a href="${href}">${text}</a></nav>`);
});
