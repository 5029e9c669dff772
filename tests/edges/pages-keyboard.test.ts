import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { openBrowser } from '../stage/browser.js';
import { homeName, openHomeNetwork } from '../stage/home-network.js';
import type { OpenPages } from '../stage/open-pages.js';
import { pageAddresses, plannedVisit } from '../stage/page-addresses.js';

// Without a mouse, and with large letters: WCAG 2.2, success criteria 2.1.1, 2.1.2, 2.4.7, 2.4.11, 1.4.4 and 1.4.10.

let home: Awaited<ReturnType<typeof openHomeNetwork>>;
let pages: OpenPages;
let browser: Browser;
let url: string;
beforeAll(async () => {
  home = await openHomeNetwork();
  ({ pages, url } = home);
  browser = await openBrowser([homeName]);
});
afterAll(async () => {
  await browser.close();
  await home.close();
});

interface Focus {
  readonly what: string;
  readonly isVisible: boolean;
  readonly isInView: boolean;
}

/** Where the keyboard is, or null where it is nowhere on the page. A drawing shows it by a frame inside the link. */
const focus = `(() => {
  const one = document.activeElement;
  if (one === null || one === document.body || one === document.documentElement) return null;
  const frame = one.querySelector('.target');
  const style = getComputedStyle(frame ?? one);
  const isOutlined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  const isFramed = frame !== null && style.stroke !== 'none' && parseFloat(style.strokeWidth) >= 2;
  const box = (frame ?? one).getBoundingClientRect();
  const isSeen = box.width > 1 && box.height > 1 && (style.clipPath === 'none' || style.clipPath === '');
  return {
    what: one.outerHTML.slice(0, 110),
    isVisible: isSeen && (isOutlined || isFramed),
    isInView: box.top >= -1 && box.left >= -1 && box.right <= innerWidth + 1 && box.top < innerHeight - 8 &&
      (box.bottom <= innerHeight + 1 || box.height > innerHeight / 2),
  };
})()`;

/** One press of Tab; says where it led, and refuses a place that a person cannot see. */
async function tab(page: Page): Promise<Focus | null> {
  await page.keyboard.press('Tab');
  const found: Focus | null = await page.evaluate(focus);
  if (found !== null) expect(found, `at ${page.url()}`).toMatchObject({ isVisible: true, isInView: true });
  return found;
}

/** Tab until this is reached; a page that never leads there fails. */
async function tabTo(page: Page, selector: string): Promise<void> {
  for (let press = 0; press < 300; press += 1) {
    await tab(page);
    if (await page.evaluate(`document.activeElement?.matches(${JSON.stringify(selector)}) === true`)) return;
  }
  throw new Error(`Tab never leads to ${selector} at ${page.url()}`);
}

const factsOf = (machine: string) => gather(pages.books).machines.find((one) => one.machine === machine);

test('every page can be walked through with Tab, from its first way to its last, and one always sees where', async () => {
  const context = await home.device(browser, { viewport: { width: 360, height: 780 } });
  const page = await context.newPage();
  const unseen: string[] = [];
  for (const { name, path } of pageAddresses(pages)) {
    await page.goto(`${url}${path}`);
    await page.evaluate(`for (const one of document.querySelectorAll('details')) one.open = true`);
    const seen = new Set<string>();
    for (let press = 0; press < 600; press += 1) {
      await page.keyboard.press('Tab');
      const found: Focus | null = await page.evaluate(focus);
      if (found === null) break;
      seen.add(found.what);
      if (!found.isVisible || !found.isInView) unseen.push(`${name}: ${JSON.stringify(found)}`);
    }
    // To the end: the last of the ways at the foot.
    expect(
      [...seen].some((what) => what.includes('href="/set-up"')),
      name,
    ).toBe(true);
  }
  expect(unseen).toEqual([]);
  await context.close();
}, 240_000);

test('a reading is entered with Tab, Enter and digits alone', async () => {
  const context = await home.device(browser, { viewport: { width: 360, height: 780 } });
  const page = await context.newPage();
  await page.goto(url);
  await tabTo(page, 'a[href="/machines/bank-tractor/reading"]');
  await page.keyboard.press('Enter');
  await page.waitForURL('**/reading');
  await tabTo(page, '#hours');
  await page.keyboard.type('388.2');
  await tabTo(page, 'button.main[type=submit]');
  await page.keyboard.press('Enter');
  await page.waitForURL('**/machines/bank-tractor?entry=reading-*');
  expect(factsOf('bank-tractor')?.readings.at(-1)?.hours).toBe(388.2);
  await context.close();
});

test('a sheet is ticked and confirmed with Tab, Space and Enter alone, and taken back again', async () => {
  const context = await home.device(browser, { viewport: { width: 360, height: 780 } });
  const page = await context.newPage();
  const visit = plannedVisit(pages, 'bank-tractor');
  await page.goto(`${url}/visits/${visit.id}/sheet`);
  await tabTo(page, '#step-1');
  await page.keyboard.press('Space');
  expect(await page.locator('#step-1').isChecked()).toBe(true);
  await tabTo(page, 'form[data-sheet] input[name=hours]');
  await page.keyboard.type('388.2');
  await tabTo(page, 'form[data-sheet] button.main[type=submit]:not([value=look])');
  await page.keyboard.press('Space');
  await page.waitForURL('**/records/*');
  const records = () => factsOf('bank-tractor')?.records.filter((one) => one.visit === visit.id) ?? [];
  expect(records().map(({ hours }) => hours)).toEqual([388.2]);
  await tabTo(page, '.undo summary');
  await page.keyboard.press('Enter');
  await tabTo(page, '.undo button');
  await page.keyboard.press('Enter');
  await page.waitForURL('**/undo');
  expect(records()).toEqual([]);
  await context.close();
});

/** Controls that stick out of the screen, or whose words do not fit into them. */
const cutOff = `[...document.querySelectorAll('a, button:not(.first-of-form), input:not([type=hidden]), select, textarea, summary, label')]
  .filter((one) => one.getClientRects().length > 0 && one.closest('svg') === null)
  .filter((one) => {
    const { left, right } = one.getBoundingClientRect();
    const isText = ['A', 'BUTTON', 'SUMMARY', 'LABEL'].includes(one.tagName);
    return left < -1 || right > innerWidth + 1 || (isText && getComputedStyle(one).display !== 'inline' && one.scrollWidth > one.clientWidth + 1);
  })
  .map((one) => one.outerHTML.slice(0, 120))`;

test.each([
  ['320 px wide', 320, '100%'],
  ['a small phone with letters of twice the size', 360, '200%'],
  ['a small laptop at 200 %', 640, '100%'],
])(
  '%s: no page is wider than the screen and no control is cut off',
  async (_what, width, letters) => {
    const context = await home.device(browser, { viewport: { width, height: 700 } });
    const page = await context.newPage();
    const wrong: string[] = [];
    for (const { name, path } of pageAddresses(pages)) {
      await page.goto(`${url}${path}`);
      await page.evaluate(`document.documentElement.style.fontSize = '${letters}'`);
      await page.evaluate(`for (const one of document.querySelectorAll('details')) one.open = true`);
      const wide = Number(await page.evaluate('document.documentElement.scrollWidth'));
      if (wide > width) wrong.push(`${name} is ${wide} px wide`);
      const cut: string[] = await page.evaluate(cutOff);
      wrong.push(...cut.map((one) => `${name}: ${one}`));
    }
    expect(wrong).toEqual([]);
    await context.close();
  },
  120_000,
);
