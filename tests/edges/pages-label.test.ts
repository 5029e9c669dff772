import { afterAll, beforeAll, expect, test } from 'vitest';
import { drawQrCode } from '../../src/charts/qr-code.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeAll(async () => {
  pages = await openPages({ address: 'http://shed.test:8377/' });
});
afterAll(() => pages.close());

test('a label has the checks before use, pressures, torques, fluids and numbers of a machine, each once', async () => {
  const { status, text } = await pages.get('/machines/bank-tractor/label');
  expect(status).toBe(200);
  const words = text.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
  const machine = pages.books.home().machines.find(({ id }) => id === 'bank-tractor');
  const tasks = machine?.tasks ?? [];
  const before = tasks.filter(({ every }) => every === 'use');
  expect(before.length).toBeGreaterThan(0);
  for (const { steps } of before) for (const step of steps) expect(text).toContain(`<li>${step.do}`);
  for (const { fluids } of tasks) for (const { name } of fluids) expect(words).toContain(name);
  for (const { parts } of tasks) for (const { name } of parts) expect(words).toContain(name);
  expect(words).toMatch(/front tyres 160 kPa/);
  expect(words).toMatch(/front wheel bolts .*90 N m/);
  expect(words.match(/front tyres/g)).toHaveLength(1);
  // Two tasks take different amounts of one fluid: each says which.
  expect(words).toMatch(/transmission and hydraulic oil \(Change transmission oil[^)]*\) 17 L/);
  // A voltage is measured with the sheet at hand, not set at the machine.
  expect(words).not.toContain('battery at rest');
  expect(words).toContain('own manual counts');
});

test('its square leads to the reading page of that machine', async () => {
  const { text } = await pages.get('/machines/bank-tractor/label');
  const square = drawQrCode('http://shed.test:8377/machines/bank-tractor/reading', 'The address of the reading page');
  expect(text).toContain(square);
});

test('without an address there is no square, and the page says how to get one', async () => {
  const bare = await openPages({});
  const { text } = await bare.get('/machines/paddock-mower/label');
  expect(text).not.toContain('<svg');
  expect(text).toContain('a phone needs an address');
  await bare.close();
});

test('the machine page leads to it, and a machine that is not set up has none', async () => {
  expect((await pages.get('/machines/bank-tractor')).text).toContain('href="/machines/bank-tractor/label"');
  expect((await pages.get('/machines/none/label')).status).toBe(404);
});

test('what the owner set to none is not on it, and weights are said in the units of the household', async () => {
  const us = await openPages({ units: 'us' }, false, (home) => ({
    ...home,
    machines: home.machines.map((machine) => ({
      ...machine,
      tasks: machine.tasks.map((task) => ({
        ...task,
        parts: task.parts.map((part) => (part.name === 'drain plug washer' ? { ...part, quantity: 0 } : part)),
      })),
    })),
  }));
  const { text } = await us.get('/machines/bank-tractor/label');
  expect(text).toContain('engine oil filter');
  expect(text).not.toContain('drain plug washer');
  expect(text.replace(/<[^>]+>/g, ' ')).toMatch(/grease\s+\d[\d.]*\u00a0lb \(\d+\u00a0g\)/);
  await us.close();
});

test('the labels of all machines print at once: each as on its own page, without machines that are gone', async () => {
  const some = await openPages({ address: 'http://shed.test:8377/' }, false, (home) => ({
    ...home,
    machines: home.machines.map((machine) => (machine.id === 'hedge-cutter' ? { ...machine, gone: true } : machine)),
  }));
  const { status, text } = await some.get('/labels');
  expect(status).toBe(200);
  const labels = text.split('<article class="label">').slice(1);
  const here = some.books.home().machines.filter(({ gone }) => !gone);
  expect(labels).toHaveLength(here.length);
  const rows = (html: string) => html.match(/<tr>.*?<\/tr>|<li>.*?<\/li>|<svg.*?<\/svg>/gs) ?? [];
  for (const [index, { id, name }] of here.entries()) {
    const own = (await some.get(`/machines/${id}/label`)).text;
    expect(own).toContain('href="/labels"');
    expect(labels[index]).toContain(`<h2>${name}</h2>`);
    expect(labels[index]).toContain('own manual counts');
    expect(rows(labels[index] ?? '')).toEqual(rows(own));
    expect(rows(own).length).toBeGreaterThan(1);
  }
  expect(text).not.toContain('edge cutter</h2>');
  expect((await some.get('/machines')).text).toContain('href="/labels"');
  await some.close();
});

test('without an address the sheet of labels says once how to get squares; without machines it says so', async () => {
  const bare = await openPages({});
  const { text } = await bare.get('/labels');
  expect(text.split('a phone needs an address')).toHaveLength(2);
  expect(text).not.toContain('<svg');
  await bare.close();
  const none = await openPages({}, true, (home) => ({ ...home, machines: [] }));
  expect((await none.get('/labels')).text).toContain('No machine needs a label yet.');
  expect((await none.get('/machines')).text).not.toContain('href="/labels"');
  await none.close();
});
