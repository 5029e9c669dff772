import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { fieldId, findingName } from '../../src/pages/field-names.js';
import { openBrowser, phone } from '../stage/browser.js';
import { homeName, openHomeNetwork } from '../stage/home-network.js';
import { formKey } from '../stage/open-pages.js';

let home: Awaited<ReturnType<typeof openHomeNetwork>>;
let browser: Browser;
let device: BrowserContext;
beforeAll(async () => {
  browser = await openBrowser([homeName]);
  home = await openHomeNetwork();
  device = await home.device(browser, phone);
});
afterAll(async () => {
  await device.close();
  await home.close();
  await browser.close();
});

/** Far from both limits, so that no instrument's step makes it too close to call. */
function middleOf({ min, max }: { readonly min: string; readonly max: string }): string {
  return String((Number.parseFloat(min) + Number.parseFloat(max)) / 2);
}

/** A visit of the owner with a value to measure within limits. */
function measured() {
  const { pages } = home;
  for (const visit of pages.outlook().visits) {
    const sheet = sheetOf(pages.books.home(), gather(pages.books), visit);
    for (const line of sheet?.lines ?? []) {
      if (line.kind !== 'measurement' || line.measurement.specification.kind !== 'range') continue;
      return { visit, name: findingName(line, 0, 'found'), middle: middleOf(line.measurement.specification) };
    }
  }
  throw new Error('nothing is measured');
}

test('a value typed into the sheet is judged below its field at once, and nothing is written down', async () => {
  const { visit, name, middle } = measured();
  const page = await device.newPage();
  await page.goto(`${home.url}/visits/${visit.id}/sheet`);
  const field = page.locator(`#${fieldId(name).replaceAll('.', '\\.')}`);
  const verdict = page.locator(`[data-verdict="${name}"]`);
  expect(await verdict.isVisible()).toBe(false);
  await field.fill(middle);
  await field.blur();
  await expect.poll(() => verdict.textContent()).toMatch(/ is in \(/);
  await field.fill(`9${middle}`);
  await expect.poll(() => verdict.textContent()).toBe('');
  await field.blur();
  await expect.poll(() => verdict.textContent()).toMatch(/ is out: .* too much \(/);
  await field.fill('1/0 in');
  await field.blur();
  await expect.poll(() => verdict.textContent()).toMatch(/^Not taken: /);

  await field.fill(middle);
  await field.blur();
  await expect.poll(() => verdict.textContent()).toMatch(/ is in \(/);
  await page.reload();
  await expect.poll(() => verdict.textContent()).toMatch(/ is in \(/);
  expect(gather(home.pages.books).machines.flatMap((one) => one.records)).toEqual([]);
});

test('looking the sheet over says the same without any script, and of no other measurement', async () => {
  const { visit, name, middle } = measured();
  const { pages } = home;
  const form = { key: formKey(), machine: visit.machine, held: visit.tasks, [name]: middle };
  const page = await pages.post(`/visits/${visit.id}/sheet`, { ...form, go: 'look' });
  expect(page.text.slice(page.text.indexOf(`data-verdict="${name}"`))).toMatch(/^[^<]*>[^<]* is in \(/);
  const answer = await pages.post(`/visits/${visit.id}/verdicts`, { ...form, 'm.nothing.gap.0.found': '3 mm' });
  expect(Object.keys(JSON.parse(answer.text).said)).toEqual([name]);
  expect((await pages.post('/visits/nobodys-oil-1/verdicts', form)).status).toBe(404);
});
