import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { enterReading } from '../../src/ledger/enter-reading.js';
import { gather } from '../../src/ledger/gather.js';
import { openBrowser, phone, pictureFolder } from '../stage/browser.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';
import { plannedVisit } from '../stage/page-addresses.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

const tractor = '/machines/bank-tractor';
const noticed = () => gather(pages.books).machines.find(({ machine }) => machine === 'bank-tractor')?.noticed[0];
const plain = (html: string) => html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

/** Something is noticed and ticked as seen to on the sheet of the next visit. */
async function seenTo() {
  await pages.post(`${tractor}/noticed`, { text: 'the lift hums' });
  const visit = plannedVisit(pages, 'bank-tractor');
  const [task = ''] = visit.tasks;
  const form = { task, day: pages.outlook().today, go: 'record', 'seen-to': 'noticed-1' };
  expect((await pages.post(`/visits/${visit.id}/sheet`, form)).status).toBe(303);
}

/** Two hours on the meter since, read a day later. */
function used() {
  pages.passDays(1);
  const nowMs = pages.books.clock.nowMs();
  const hours = 388.6;
  const entry = {
    machine: 'bank-tractor',
    hours,
    atMs: nowMs,
    by: null,
    door: 'page',
    confirm: true,
    key: null,
  } as const;
  expect(enterReading(pages.books, entry).kind).toBe('counted');
}

test('it is asked on the machine’s page once the machine has been used, and not before', async () => {
  await seenTo();
  expect((await pages.get(tractor)).text).not.toContain('Did it help?<');
  used();
  expect(plain((await pages.get(tractor)).text)).toContain('“the lift hums” was seen to (28 February). Did it help?');
});

test('a no puts it on the next sheet, can be taken back, and needs the key and this page', async () => {
  await seenTo();
  used();
  const path = `${tractor}/noticed/noticed-1/helped`;
  expect((await pages.post(path, { helped: 'no', key: '' })).status).toBe(400);
  expect((await pages.post(path, { helped: 'no' }, { origin: 'http://elsewhere.test' })).status).toBe(403);
  expect((await pages.post(path, { helped: 'perhaps' })).status).toBe(400);
  const { headers } = await pages.post(path, { helped: 'no' });
  const page = (await pages.get(headers.get('location') ?? '')).text;
  expect(plain(page)).toContain(
    'Written down: “the lift hums”. It did not help. It comes on the next bench sheet again.',
  );
  const sheet = `/visits/${plannedVisit(pages, 'bank-tractor').id}/sheet`;
  expect((await pages.get(sheet)).text).toContain('value="noticed-1"');
  const undo = /action="([^"]+\/helped\/helped-1\/undo)"/.exec(page)?.[1] ?? '';
  const taken = await pages.post(undo, {});
  expect(plain((await pages.get(taken.headers.get('location') ?? '')).text)).toContain('Taken back: “the lift hums”.');
  expect(noticed()).toMatchObject({ state: 'answered', helped: [] });
  expect((await pages.post(undo.replace('bank-tractor', 'paddock-mower'), {})).status).toBe(400);
});

test('the logbook has what was noticed, what saw to it, and that it helped: page, print, CSV and JSON', async () => {
  await seenTo();
  used();
  await pages.post(`${tractor}/noticed/noticed-1/helped`, { helped: 'yes' });
  for (const form of ['', '/html']) {
    const { text } = await pages.get(`${tractor}/logbook${form}`);
    expect(plain(text)).toContain('Saw to “the lift hums”. It helped.');
    expect(plain(text)).toContain('What was noticed');
  }
  expect((await pages.get(`${tractor}/logbook/csv`)).text).toMatch(
    /whether it helped,noticed-1,2026-03-01,.*,yes,.*the lift hums/,
  );
  const { machines } = JSON.parse((await pages.get(`${tractor}/logbook/json`)).text);
  expect(machines[0].noticed).toMatchObject([{ seenTo: { record: 'record-1' }, helped: [{ answer: 'yes' }] }]);
});

test('on a phone without scripts the question is answered, and nobody is asked twice', async () => {
  await seenTo();
  used();
  const browser = await openBrowser();
  try {
    for (const colorScheme of ['light', 'dark'] as const) {
      const context = await browser.newContext({ ...phone, colorScheme });
      const page = await context.newPage();
      await page.goto(`${pages.url}${tractor}`);
      await page.screenshot({ path: join(pictureFolder(), `did-it-help-${colorScheme}.png`) });
      expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
      expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
      await context.close();
    }
    const context = await browser.newContext({ ...phone, javaScriptEnabled: false });
    const page = await context.newPage();
    await page.goto(`${pages.url}${tractor}`);
    const button = page.getByRole('button', { name: 'Cannot tell yet' }).first();
    expect((await button.boundingBox())?.height).toBeGreaterThanOrEqual(48);
    await button.tap();
    expect(await page.locator('[role=status]').textContent()).toContain('Nobody could tell yet whether it helped.');
    await page.screenshot({ path: join(pictureFolder(), 'did-it-help-said.png') });
    await page.goto(`${pages.url}${tractor}`);
    expect(await page.getByText('Did it help?', { exact: false }).filter({ visible: true }).allInnerTexts()).toEqual([
      'Did it help? Or take it back',
    ]);
    expect(noticed()?.helped).toMatchObject([{ answer: 'cannot-tell' }]);
  } finally {
    await browser.close();
  }
}, 60_000);
