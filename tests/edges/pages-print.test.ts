import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser, pictureFolder } from '../stage/browser.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
let browser: Browser;
let page: Page;

/** The sheet with the most on it, as wide as A4 between its margins. */
beforeAll(async () => {
  pages = await openPages({ address: 'http://shed.test:8377/' });
  browser = await openBrowser();
  const sheets: { path: string; steps: number }[] = [];
  for (const { id } of pages.outlook().visits) {
    const { text } = await pages.get(`/visits/${id}/sheet`);
    if (text.includes('class="if-out"'))
      sheets.push({ path: `/visits/${id}/sheet`, steps: text.split('class="step"').length });
  }
  const [longest] = sheets.sort((a, b) => b.steps - a.steps);
  if (longest === undefined) throw new Error('no sheet has work that only a bad finding brings');
  page = await (await browser.newContext({ viewport: { width: 703, height: 1000 }, colorScheme: 'dark' })).newPage();
  await page.goto(`${pages.url}${longest.path}`);
  await page.emulateMedia({ media: 'print' });
}, 120_000);
afterAll(async () => {
  await browser.close();
  await pages.close();
});

test('on paper there is nothing to press, and the way back stands there for a phone', async () => {
  for (const locator of await page.locator('button, a, nav, footer').all()) {
    if (await locator.isVisible()) expect((await locator.boundingBox())?.width ?? 0).toBeLessThanOrEqual(1);
  }
  const code = await page.locator('.way-back svg').boundingBox();
  // 30 mm at 96 px an inch.
  expect(code?.width).toBeCloseTo(113.4, 0);
  const fill = `getComputedStyle(document.querySelector('.way-back path')).fill`;
  expect(await page.evaluate(fill)).toBe('rgb(0, 0, 0)');
  await page.emulateMedia({ media: 'screen' });
  expect(await page.locator('.way-back').isVisible()).toBe(false);
  await page.emulateMedia({ media: 'print' });
});

test('paper is black on white, also by night, and a danger is told by its frame', async () => {
  const colours: string[] = await page.evaluate(`[...document.querySelectorAll('main, main *')]
    .filter((one) => one.checkVisibility())
    .map((one) => getComputedStyle(one).backgroundColor)`);
  expect([...new Set(colours)].filter((colour) => !/^rgba\(0, 0, 0, 0\)$|^rgb\(255, 255, 255\)$/.test(colour))).toEqual(
    [],
  );
  const words: string[] = await page.evaluate(
    `[...document.querySelectorAll('.caution .signal, .caution p')].map((one) => getComputedStyle(one).color)`,
  );
  expect(words.length).toBeGreaterThan(0);
  expect(new Set(words)).toEqual(new Set(['rgb(0, 0, 0)']));
});

test('work that is folded away on the page is written out, and boxes are large enough for a pen', async () => {
  const folded = await page.locator('.if-out .step').all();
  expect(folded.length).toBeGreaterThan(0);
  for (const step of folded) expect(await step.isVisible()).toBe(true);
  for (const box of await page.locator('.lines input[type="checkbox"]').all()) {
    expect((await box.boundingBox())?.width ?? 0).toBeGreaterThan(15);
  }
  for (const field of await page.locator('.measure .pair input').all()) {
    expect((await field.boundingBox())?.height ?? 0).toBeGreaterThan(30);
  }
});

test('a caution begins with its word, and a place, its words to tick and its field stand in one row', async () => {
  const rows: { signal: number; sentence: number }[] =
    await page.evaluate(`[...document.querySelectorAll('.sheet .caution')].map((one) => {
    const [signal, sentence] = [...one.querySelectorAll('p')].map((p) => p.getClientRects()[0]);
    return { signal: signal.bottom, sentence: sentence.top };
  })`);
  expect(rows.length).toBeGreaterThan(0);
  for (const { signal, sentence } of rows) expect(sentence).toBeLessThan(signal);
  const places: { name: number; field: number }[] =
    await page.evaluate(`[...document.querySelectorAll('.sheet .place:has(.place-name)')].map((one) => ({
    name: one.querySelector('.place-name').getBoundingClientRect().bottom,
    field: one.querySelector('input').getBoundingClientRect().top,
  }))`);
  expect(places.length).toBeGreaterThan(0);
  for (const { name, field } of places) expect(field).toBeLessThan(name);
  expect(await page.evaluate(`getComputedStyle(document.querySelector('.if-out > summary')).breakAfter`)).toBe('avoid');
});

test('on A4 and letter no step is torn apart and nothing runs over the edge', async () => {
  for (const format of ['A4', 'Letter'] as const) {
    const pdf = await page.pdf({ format });
    writeFileSync(join(pictureFolder(), `sheet-${format}.pdf`), pdf);
    expect(pdf.toString('latin1').match(/\/Type \/Page\b/g)?.length ?? 0, format).toBeGreaterThan(1);
  }
  expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(703);
  const breaks: string[] = await page.evaluate(`[...document.querySelectorAll('.step, .measure, .caution')]
    .map((one) => getComputedStyle(one).breakInside)`);
  expect(new Set(breaks)).toEqual(new Set(['avoid']));
  await page.screenshot({ path: join(pictureFolder(), 'sheet-paper.png'), fullPage: true });
}, 60_000);

test('a sheet to copy onto names its jobs on paper, and a label its values, without ways to press', async () => {
  await page.goto(`${pages.url}/set-up/machines/bank-tractor/copy`);
  await page.emulateMedia({ media: 'print' });
  expect(await page.getByText('Change engine oil and filter').isVisible()).toBe(true);
  expect(await page.locator('footer').isVisible()).toBe(false);
  await page.goto(`${pages.url}/machines/bank-tractor/label`);
  await page.emulateMedia({ media: 'print' });
  expect(await page.getByRole('rowheader', { name: 'front tyres' }).isVisible()).toBe(true);
  expect(await page.locator('a').evaluateAll((all) => all.filter((one) => one.checkVisibility()))).toEqual([]);
  // 32 mm at 96 px an inch.
  expect((await page.locator('.label-code svg').boundingBox())?.width).toBeCloseTo(120.9, 0);
});

test('the labels of all machines stand beside each other, and each fits one piece of paper whole', async () => {
  await page.goto(`${pages.url}/labels`);
  const boxes: { x: number; height: number }[] =
    await page.evaluate(`[...document.querySelectorAll('.label')].map((one) => {
    const { x, height } = one.getBoundingClientRect();
    return { x, height };
  })`);
  expect(boxes).toHaveLength(pages.books.home().machines.length);
  expect(new Set(boxes.map(({ x }) => Math.round(x))).size).toBe(2);
  // 269 mm of A4 between its margins, at 96 px an inch.
  for (const { height } of boxes) expect(height).toBeLessThan(1017);
  expect(await page.evaluate(`getComputedStyle(document.querySelector('.label')).breakInside`)).toBe('avoid');
  expect(await page.locator('a:visible, button:visible, h1:visible').count()).toBe(0);
});
