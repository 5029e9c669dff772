import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { openBrowser, phone, pictureFolder } from '../stage/browser.js';
import { formOf, sendForm } from '../stage/forms.js';
import { formKey, type OpenPages, openPages } from '../stage/open-pages.js';
import { pageAddresses, plannedVisit } from '../stage/page-addresses.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages({ currency: 'EUR' });
});
afterEach(() => pages.close());

const tractor = '/machines/bank-tractor';
const records = () => gather(pages.books).machines.find(({ machine }) => machine === 'bank-tractor')?.records ?? [];
const plain = (html: string) =>
  html
    .replace(/<[^>]*>/g, ' ')
    .replace(/&#34;|&quot;/g, '"')
    .replace(/[\s\u00a0]+/g, ' ');
function link(): string {
  const { id } = plannedVisit(pages, 'bank-tractor');
  return `/v/${makePermit(pages.books, { scope: 'visit', subject: id, person: 'ines', days: 30 })}`;
}
async function done(more: Record<string, string> = {}) {
  const { tasks } = plannedVisit(pages, 'bank-tractor');
  return pages.post(link(), { task: tasks, day: pages.outlook().today, go: 'done', ...more });
}

test('a link and a sheet ask what was paid, and the amount stands on the record, in the logbook and in the year’s sum', async () => {
  const sheet = await pages.get(`/visits/${plannedVisit(pages, 'bank-tractor').id}/sheet`);
  for (const { text } of [sheet, await pages.get(link())]) expect(plain(text)).toContain('Paid, EUR (if you like)');
  const { status, headers } = await done({ paid: '112,40', paidIn: 'EUR', paidFor: 'oil and a filter' });
  expect(status).toBe(303);
  const said = 'Paid 112.40 EUR for oil and a filter.';
  expect(plain((await pages.get(headers.get('location') ?? '')).text)).toContain(said);
  for (const page of [tractor, `${tractor}/logbook`]) {
    const text = plain((await pages.get(page)).text);
    expect(text).toContain(said);
    expect(text).toContain('Paid, as far as it was written down: 112.40 EUR in 2026.');
  }
  expect(plain((await pages.get(`${tractor}/logbook/html`)).text)).toContain(said);
  expect((await pages.get(`${tractor}/logbook/csv`)).text).toMatch(/,112\.40,EUR,oil and a filter\r\n/);
  const { machines } = JSON.parse((await pages.get(`${tractor}/logbook/json`)).text);
  expect(machines[0].records[0].paid).toMatchObject({ amount: '112.40', currency: 'EUR' });

  await pages.post(`/records/${records()[0]?.id}/undo`, {});
  expect((await pages.get(tractor)).text).not.toContain('as far as it was written down');
});

test('an amount in two ways is a question, what was typed is kept, and nothing is recorded', async () => {
  for (const [paid, words] of [
    ['1,234', 'Is this 1234.00 EUR or 1.234 EUR? (found "1,234")'],
    ['-5', 'a refund is a correction'],
    ['lots', 'This is no amount of money'],
    ['', 'It says what was paid for, but no amount'],
  ] as const) {
    const { status, text } = await done({ paid, paidIn: 'EUR', paidFor: 'new belt' });
    expect(status).toBe(400);
    expect(plain(text)).toContain(words);
    expect(text).toContain(`value="new belt"`);
    if (paid !== '') expect(text).toContain(`value="${paid}"`);
  }
  expect(records()).toEqual([]);
});

test('without scripts it is added and corrected afterwards at the record, and taken back with empty fields', async () => {
  await done();
  const site = pages.url;
  const say = async (filled: Record<string, string>) => {
    const form = formOf((await pages.get(`${tractor}/logbook`)).text, 'paid');
    return sendForm(site, form, filled);
  };
  expect((await say({ paid: '85.10', paidFor: 'blades' })).status).toBe(303);
  expect(records()[0]?.paid).toMatchObject({ money: { minor: 8510, currency: 'EUR' }, what: 'blades' });
  // The form shows what stands; sent untouched it changes nothing.
  expect((await say({})).headers.get('location')).toBe('/records/record-1');
  expect(records()[0]?.paid?.id).toBe('paid-1');
  expect((await say({ paid: '90' })).status).toBe(303);
  expect(records()[0]?.paid).toMatchObject({ id: 'paid-2', money: { minor: 9000 }, what: 'blades' });
  const wrong = await say({ paid: '1.234' });
  expect(wrong.status).toBe(400);
  const text = await wrong.text();
  expect(text).toContain('href="#at-paid"');
  expect(text).toContain('id="at-paid"');
  expect(text).toContain('value="1.234"');
  expect((await say({ paid: '20 CHF', paidFor: '' })).status).toBe(303);
  expect(plain((await pages.get(tractor)).text)).toContain('Paid 20.00 CHF.');
  // An amount of another currency stays of that currency when its form is sent as it stands.
  await say({ paidFor: 'a seal from over the border' });
  expect(records()[0]?.paid?.money.currency).toBe('CHF');
  expect((await say({ paid: '', paidFor: '' })).status).toBe(303);
  expect(records()[0]?.paid).toBeUndefined();
});

test('the same form sent twice is one amount, also when it was corrected in between', async () => {
  await done();
  const key = formKey();
  const fields = { paid: '10', paidIn: 'EUR', key };
  await Promise.all([1, 2, 3].map(() => pages.post('/records/record-1/paid', fields)));
  await pages.post('/records/record-1/paid', { paid: '12', paidIn: 'EUR' });
  expect((await pages.post('/records/record-1/paid', fields)).status).toBe(303);
  expect(records()[0]?.paid).toMatchObject({ id: 'paid-2', money: { minor: 1200 } });
  expect((await pages.post('/records/record-1/paid', { ...fields, key: '' })).status).toBe(400);
  const stranger = { origin: 'http://elsewhere.test' };
  expect((await pages.post('/records/record-1/paid', { paid: '1' }, stranger)).status).toBe(403);
  expect((await pages.post('/records/record-9/paid', { paid: '1' })).status).toBe(404);
});

test('a form means the currency that it showed, whatever household.yaml says by the time it comes', async () => {
  await done({ paid: '10', paidIn: 'JPY' });
  expect(records()[0]?.paid?.money).toEqual({ currency: 'JPY', minor: 10, digits: 0 });
});

test('without a currency no page, paper or table has a word of prices', async () => {
  await pages.close();
  pages = await openPages();
  const addresses = pageAddresses(pages).map(({ path }) => path);
  await done();
  for (const path of [...addresses, '/records/record-1', `${tractor}/logbook/html`]) {
    // What the set-up asks for is the one place where prices begin.
    if (path === '/set-up/household') continue;
    expect(plain((await pages.get(path)).text), path).not.toMatch(/\bpaid\b/i);
  }
  expect((await pages.get(`${tractor}/logbook/csv`)).text).not.toContain('paid');
});

test('on a small phone the fields fit, in light and dark, and nothing stands in the way of a screen reader', async () => {
  const sheet = `/visits/${plannedVisit(pages, 'bank-tractor').id}/sheet`;
  const confirm = link();
  const browser = await openBrowser();
  try {
    const look = async (name: string, path: string) => {
      for (const colorScheme of ['light', 'dark'] as const) {
        const context = await browser.newContext({ ...phone, colorScheme });
        const page = await context.newPage();
        await page.goto(`${pages.url}${path}`);
        for (const fold of await page.locator('details.undo > summary').all()) await fold.click();
        await page.screenshot({ path: join(pictureFolder(), `paid-${name}-${colorScheme}.png`), fullPage: true });
        expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
        expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
        await context.close();
      }
    };
    await look('sheet', sheet);
    await look('link', confirm);
    await done({ paid: '1,234.50', paidIn: 'EUR', paidFor: 'oil, a filter and the belt that squeaked' });
    await look('record', '/records/record-1');
    await look('logbook', `${tractor}/logbook`);
    await look('machine', tractor);
  } finally {
    await browser.close();
  }
}, 120_000);
