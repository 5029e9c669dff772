import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { makePermit } from '../../src/ledger/permit.js';
import { openBrowser, phone, pictureFolder } from '../stage/browser.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const homeName = 'shed.test';
let pages: OpenPages;
let browser: Browser;
/** The pages as a phone on the home network reaches them: plain http under a name that is not this computer's own. */
let url: string;

beforeAll(async () => {
  pages = await openPages({ address: `http://${homeName}:8377` });
  browser = await openBrowser([homeName]);
  url = pages.url.replace('127.0.0.1', homeName);
});
afterAll(async () => {
  await browser.close();
  await pages.close();
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

function visitOf(machine: string) {
  const visit = pages.outlook().visits.find((one) => one.machine === machine);
  if (visit === undefined) throw new Error(`nothing is planned on ${machine}`);
  return visit;
}

function addresses(): readonly { readonly name: string; readonly path: string }[] {
  const visit = visitOf('bank-tractor');
  const confirm = makePermit(pages.books, { scope: 'visit', subject: visit.id, person: 'ines', days: 30 });
  const reading = makePermit(pages.books, { scope: 'reading', subject: 'paddock-mower', person: 'ines', days: 30 });
  return [
    { name: 'months-ahead', path: '/' },
    { name: 'machines', path: '/machines' },
    { name: 'machine', path: '/machines/bank-tractor' },
    { name: 'reading', path: '/machines/bank-tractor/reading' },
    { name: 'run', path: '/machines/hedge-cutter/reading' },
    { name: 'sheet', path: `/visits/${visit.id}/sheet` },
    { name: 'confirm-link', path: `/v/${confirm}` },
    { name: 'reading-link', path: `/r/${reading}` },
    { name: 'notices', path: '/notices' },
    { name: 'not-found', path: '/nowhere' },
  ];
}

test('every page fits a small phone, light and dark, without a complaint on the console', async () => {
  for (const colorScheme of ['light', 'dark'] as const) {
    const context = await browser.newContext({ ...phone, colorScheme });
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
});
