import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { Fluid } from '../../src/domain/task.js';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { openBrowser, phone, pictureFolder } from '../stage/browser.js';
import { openPages } from '../stage/open-pages.js';
import { plannedVisit } from '../stage/page-addresses.js';

/** Pages of a household whose every job takes this fluid and no other. */
const pagesWith = (fluid: Fluid, units: 'metric' | 'us' = 'metric') =>
  openPages({ units }, false, (home) => ({
    ...home,
    machines: home.machines.map((machine) => ({
      ...machine,
      tasks: machine.tasks.map((task) => ({ ...task, fluids: [fluid] })),
    })),
  }));

const plain = (html: string) => html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

test('another fluid than the plan demands is kept, with a warning that stays on the record; an amount that is none is refused', async () => {
  const fluid = { name: 'gear oil', quantity: '2 L', must: 'the one on the filler cap' };
  const pages = await pagesWith(fluid);
  const browser = await openBrowser();
  try {
    const visit = plannedVisit(pages, 'bank-tractor');
    const path = `/visits/${visit.id}/sheet`;
    const [task = ''] = visit.tasks;
    const form = { task, day: pages.outlook().today, go: 'record', [`fluid.${task}.gear oil.kind`]: 'chain oil' };
    for (const none of ['7 psi', '-1 L', '0', 'some']) {
      const refused = await pages.post(path, { ...form, [`fluid.${task}.gear oil.amount`]: none });
      expect(refused.status).toBe(400);
      const field = /href="#(at-fluid[^"]*)"/.exec(refused.text)?.[1];
      expect(field).toBeDefined();
      expect(refused.text).toContain(`id="${field}" name="fluid.${task}.gear oil.amount" value="${none}"`);
    }
    for (const colorScheme of ['light', 'dark'] as const) {
      const context = await browser.newContext({ ...phone, colorScheme });
      const page = await context.newPage();
      await page.goto(`${pages.url}${path}`);
      const paper = page.locator('.paper-only', { hasText: 'only where something else went in' });
      expect(await paper.isVisible()).toBe(false);
      await page.emulateMedia({ media: 'print', colorScheme });
      expect(await paper.textContent()).toContain('): kind ______ not 2 L but ______');
      expect(await page.getByText('Another fluid or amount').isVisible()).toBe(false);
      await page.emulateMedia({ media: 'screen', colorScheme });
      await page.getByText('Another fluid or amount').tap();
      await page.getByText('Another fluid or amount').scrollIntoViewIfNeeded();
      await page.screenshot({ path: join(pictureFolder(), `fluids-${colorScheme}.png`) });
      expect(await page.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(360);
      await context.close();
    }
    const sent = await pages.post(path, { ...form, [`fluid.${task}.gear oil.amount`]: '1.8' });
    expect(sent.status).toBe(303);
    const said =
      'Gear oil that went in: chain oil, 1.8 L. WARNING: the wrong fluid can ruin the machine. The plan demands “the one on the filler cap”. Do not start or run the machine;';
    expect(plain((await pages.get(sent.headers.get('location') ?? '')).text)).toContain(said);
    for (const where of ['', '/html']) {
      expect(plain((await pages.get(`/machines/bank-tractor/logbook${where}`)).text)).toContain(said);
    }
    expect((await pages.get('/machines/bank-tractor/logbook/csv')).text).toContain(
      'gear oil, 1.8 L (chain oil, has to meet the one on the filler cap)',
    );
    const record = gather(pages.books).machines[0]?.records[0];
    expect(record).toMatchObject({ tasks: [task], findings: [{ measurement: 'fluid gear oil', found: 'chain oil' }] });
    const { machines } = JSON.parse((await pages.get('/machines/bank-tractor/logbook/json')).text);
    expect(machines[0].records[0].used).toMatchObject([{ amount: '1.8 L', kind: 'chain oil' }]);
  } finally {
    await browser.close();
    await pages.close();
  }
}, 90_000);

test('the link of a message can say it too: refused with the way to its field, kept with what is ticked', async () => {
  const fluid = { name: 'gear oil', quantity: '2 L' };
  const pages = await pagesWith(fluid);
  try {
    const visit = plannedVisit(pages, 'bank-tractor');
    const path = `/v/${makePermit(pages.books, { scope: 'visit', subject: visit.id, person: 'ines', days: 30 })}`;
    const [task = ''] = visit.tasks;
    const amount = `fluid.${task}.gear oil.amount`;
    expect((await pages.get(path)).text).toContain(`name="${amount}"`);
    const form = { task, day: pages.outlook().today, go: 'done', [`fluid.${task}.gear oil.kind`]: 'winter oil' };
    const refused = await pages.post(path, { ...form, [amount]: '7 psi' });
    expect(refused.status).toBe(400);
    const field = /href="#(at-fluid[^"]*)"/.exec(refused.text)?.[1];
    expect(refused.text).toContain(`id="${field}" name="${amount}" value="7 psi"`);
    expect((await pages.post(path, { ...form, [amount]: '1.8' })).status).toBe(303);
    expect(gather(pages.books).machines[0]?.records[0]).toMatchObject({
      tasks: [task],
      findings: [{ measurement: 'fluid gear oil', found: 'winter oil', left: '1.8 L' }],
    });
    const partly = (await pages.get(path)).text;
    expect(partly).toContain('Part of it is on record already');
    expect(partly).toContain('name="fluid.');
  } finally {
    await pages.close();
  }
});

test('another name for what the plan demands gets no warning, once a person says that it is as demanded', async () => {
  const fluid = { name: 'gear oil', quantity: '2 L', must: 'the one on the filler cap' };
  const pages = await pagesWith(fluid);
  try {
    const visit = plannedVisit(pages, 'bank-tractor');
    const [task = ''] = visit.tasks;
    const path = `/visits/${visit.id}/sheet`;
    expect((await pages.get(path)).text).toContain(`name="fluid.${task}.gear oil.meets"`);
    const sent = await pages.post(path, {
      task,
      day: pages.outlook().today,
      go: 'record',
      [`fluid.${task}.gear oil.kind`]: 'blue can',
      [`fluid.${task}.gear oil.meets`]: 'yes',
    });
    expect(sent.status).toBe(303);
    const record = plain((await pages.get(sent.headers.get('location') ?? '')).text);
    expect(record).toContain('Gear oil that went in: blue can. It meets what the plan demands, as its label says.');
    expect(record).not.toContain('WARNING');
  } finally {
    await pages.close();
  }
});

// 1 US qt = 0.946 353 L (NIST SP 811, App. B.8).
test('a US household is asked for another amount in quarts, and a bare number is one', async () => {
  const fluid = { name: 'gear oil', quantity: '3.8 L' };
  const pages = await pagesWith(fluid, 'us');
  try {
    const visit = plannedVisit(pages, 'bank-tractor');
    const path = `/visits/${visit.id}/sheet`;
    const [task = ''] = visit.tasks;
    const { text } = await pages.get(path);
    expect(plain(text)).toContain('Not 4 US qt (3.8 L), but');
    expect(plain(text)).toContain('): kind ______ not 4 US qt (3.8 L) but ______');
    const form = { task, day: pages.outlook().today, go: 'record', [`fluid.${task}.gear oil.amount`]: '3.5' };
    expect((await pages.post(path, form)).status).toBe(303);
    expect(gather(pages.books).machines[0]?.records[0]?.findings[0]).toMatchObject({ left: '3.5 US qt' });
  } finally {
    await pages.close();
  }
});
