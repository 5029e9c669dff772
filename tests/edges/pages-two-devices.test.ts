import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { openBrowser, phone } from '../stage/browser.js';
import { homeName, openHomeNetwork } from '../stage/home-network.js';
import { formKey } from '../stage/open-pages.js';

let home: Awaited<ReturnType<typeof openHomeNetwork>>;
let browser: Browser;
let one: BrowserContext;
let other: BrowserContext;
let sheet: string;
let path: string;

beforeAll(async () => {
  browser = await openBrowser([homeName]);
});
afterAll(() => browser.close());
beforeEach(async () => {
  home = await openHomeNetwork();
  one = await home.device(browser, phone);
  other = await home.device(browser, phone);
  const visit = home.pages.outlook().visits.find(({ machine }) => machine === 'bank-tractor');
  path = `/visits/${visit?.id}/sheet`;
  sheet = `${home.url}${path}`;
});
afterEach(async () => {
  await one.close();
  await other.close();
  await home.close();
});

const boxes = (page: Page) => page.locator('form[data-sheet] .step input[type=checkbox]');
const shared = (page: Page) =>
  page.waitForResponse((answer) => answer.url().endsWith('/marks') && (answer.request().postData() ?? '').length > 20);

async function open(device: BrowserContext): Promise<Page> {
  const page = await device.newPage();
  const first = page.waitForResponse((answer) => answer.url().endsWith('/marks'));
  await page.goto(sheet);
  await first;
  return page;
}

test('two people tick different steps of one sheet, and each finds those of both', async () => {
  const ann = await open(one);
  const bo = await open(other);
  const told = Promise.all([shared(ann), shared(bo)]);
  await boxes(ann).nth(0).check();
  await boxes(bo).nth(1).check();
  await told;
  for (const device of [one, other]) {
    const page = await open(device);
    await expect.poll(() => boxes(page).nth(0).isChecked()).toBe(true);
    await expect.poll(() => boxes(page).nth(1).isChecked()).toBe(true);
    expect(await boxes(page).nth(2).isChecked()).toBe(false);
  }
});

test('what was ticked and typed without signal joins in once it is back, and unticking counts too', async () => {
  const ann = await open(one);
  const bo = await open(other);
  await one.setOffline(true);
  await boxes(ann).nth(2).check();
  await ann.locator('form[data-sheet] textarea').first().fill('rattles at idle');
  const told = shared(bo);
  await boxes(bo).nth(0).check();
  await told;
  const back = shared(ann);
  await one.setOffline(false);
  await back;
  await expect.poll(() => boxes(ann).nth(0).isChecked()).toBe(true);
  const again = await open(other);
  await expect.poll(() => boxes(again).nth(2).isChecked()).toBe(true);
  expect(await again.locator('form[data-sheet] textarea').first().inputValue()).toBe('rattles at idle');
  const off = shared(again);
  await boxes(again).nth(2).uncheck();
  await off;
  const last = await open(one);
  await expect.poll(() => boxes(last).nth(2).isChecked()).toBe(false);
  expect(await boxes(last).nth(0).isChecked()).toBe(true);
});

test('what was written before another device confirmed a part does not come back on what is left of the visit', async () => {
  const ann = await open(one);
  const told = shared(ann);
  await ann.locator('form[data-sheet] textarea').first().fill('rattles at idle');
  await told;
  await ann.close();
  const { pages } = home;
  const visit = pages.outlook().visits.find(({ id }) => path.includes(`/${id}/`));
  const [first = ''] = visit?.tasks ?? [];
  const done = confirmVisit(pages.books, {
    visit: { id: visit?.id ?? '', machine: 'bank-tractor', tasks: [first] },
    tasks: null,
    day: pages.outlook().today,
    hours: 388,
    by: 'ines',
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    key: formKey(),
  });
  expect(done.kind).toBe('recorded');
  const left = pages
    .outlook()
    .visits.find(({ machine, tasks }) => machine === 'bank-tractor' && tasks.includes(visit?.tasks[1] ?? ''));
  path = `/visits/${left?.id}/sheet`;
  sheet = `${home.url}${path}`;
  const again = await open(one);
  await expect.poll(() => again.locator('form[data-sheet] textarea').first().inputValue()).toBe('');
  expect(left?.id).toBe(visit?.id);
});

test('what is no sheet of this household, or no word of ours, is refused and keeps nothing', async () => {
  const { pages } = home;
  const good = JSON.stringify([{ field: 'a', value: true, agoMs: 0 }]);
  expect((await pages.post('/visits/nobodys-oil-1/marks', { touched: good })).status).toBe(404);
  for (const touched of [
    '',
    '{',
    '[]]',
    '[{"field":"a","value":7,"agoMs":0}]',
    '[{"field":"a","value":true,"agoMs":-1}]',
  ]) {
    expect((await pages.post(path.replace('/sheet', '/marks'), { touched })).status, touched).toBe(400);
  }
  expect(pages.books.store.sql.rows('SELECT field FROM sheet_marks')).toEqual([]);
});

test('a time ago that is no whole number of milliseconds is taken to the nearest', async () => {
  const { pages } = home;
  const marks = path.replace('/sheet', '/marks');
  const touched = JSON.stringify([{ field: 'a', value: true, agoMs: 0.4 }]);
  expect((await pages.post(marks, { touched })).status).toBe(200);
  expect(pages.books.store.sql.rows('SELECT field FROM sheet_marks')).toEqual([{ field: 'a' }]);
});

test('one word from longer ago than sheets are kept, as by a clock that was wrong, keeps no other back', async () => {
  const { pages } = home;
  const long = { field: 'a', value: true, agoMs: 200 * 86_400_000 };
  const touched = JSON.stringify([long, { field: 'b', value: true, agoMs: 5 }]);
  expect((await pages.post(path.replace('/sheet', '/marks'), { touched })).status).toBe(200);
  expect(pages.books.store.sql.rows('SELECT field FROM sheet_marks')).toEqual([{ field: 'b' }]);
});
