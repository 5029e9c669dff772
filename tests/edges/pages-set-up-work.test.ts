import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { fieldsOf, openSetUpPages, type SetUpPages } from '../stage/set-up-pages.js';

let pages: SetUpPages;
beforeEach(async () => {
  pages = await openSetUpPages();
});
afterEach(() => pages.close());

const file = 'machines/hill-tractor.yaml';
const at = (task: string) => `/set-up/machines/hill-tractor/tasks/${task}`;
const tractor = () => pages.home().machines.find(({ id }) => id === 'hill-tractor');
const taskOf = (task: string) => tractor()?.tasks.find(({ id }) => id === task);

/** The text of a field as its form shows it. */
async function shownIn(path: string, field: string): Promise<string> {
  const found = fieldsOf(await pages.get(path)).find(([name]) => name === field);
  return found?.[1] ?? '';
}

test('when one job was done last is said on its page; a word for all jobs stays true of the others', async () => {
  writeFileSync(
    join(pages.dir, file),
    `${pages.read(file).replace(/^last:.*\n/m, '')}last: unknown   # bought at a sale\n`,
  );
  const done = { lastHow: 'done', lastHours: '320', lastDay: '2027-02-03' };
  expect((await pages.send(at('engine-oil'), done, 'write')).status).toBe(303);
  const last = tractor()?.last ?? {};
  expect(last['engine-oil']).toEqual({ kind: 'done', hours: 320, day: '2027-02-03' });
  for (const { id } of tractor()?.tasks ?? []) if (id !== 'engine-oil') expect(last[id]).toEqual({ kind: 'unknown' });
  expect(pages.read(file)).toContain('# bought at a sale');
  expect(await pages.get(at('engine-oil'))).toMatch(/<option value="done" selected/);
  expect((await pages.send(at('fan-belt'), { lastHow: 'fine-as-bought' }, 'write')).status).toBe(303);
  expect(tractor()?.last['fan-belt']).toEqual({ kind: 'fine-as-bought' });
  const both = await pages.send(at('fan-belt'), { lastHours: '12' }, 'write');
  expect([both.status, both.text.includes('<a href="#at-lastHow">It was done last</a>')]).toEqual([400, true]);
  const unsaid = await pages.send(at('fan-belt'), { lastHow: 'done' }, 'write');
  expect([unsaid.status, unsaid.text.includes('Neither hours nor a day')]).toEqual([400, true]);
  const odd = await pages.send(at('engine-oil'), { lastDay: '2027-02-31' }, 'write');
  expect(odd.status).toBe(400);
});

test('what still counts as on time is set on the page of its job', async () => {
  expect((await pages.send(at('engine-oil'), { earlyHours: '8', lateHours: '2,5' }, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.tolerance).toEqual({ earlyHours: 8, lateHours: 2.5 });
});

test('steps are changed line by line; those that stay keep their tool, place and caution', async () => {
  const before = taskOf('engine-oil')?.steps ?? [];
  const text = await shownIn(`${at('engine-oil')}/steps`, 'steps');
  expect(text.split('\n')).toEqual(before.map((step) => step.do));
  const [first = '', ...others] = text.split('\n');
  // As a browser sends it.
  const changed = [`${first} on level ground`, ...others].join('\r\n');
  const shown = await pages.send(`${at('engine-oil')}/steps`, { steps: changed });
  expect(shown.text).toMatch(/\+ +steps:\n/);
  expect((await pages.send(`${at('engine-oil')}/steps`, { steps: changed }, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.steps).toEqual(
    before.map((step, index) => (index === 0 ? { ...step, do: `${first} on level ground` } : step)),
  );
  const more = [`${first} on level ground`, 'Write the day on the filter', ...others].join('\n');
  expect((await pages.send(`${at('engine-oil')}/steps`, { steps: more }, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.steps[1]).toEqual({ do: 'Write the day on the filter' });
  expect(taskOf('engine-oil')?.steps.slice(2)).toEqual(before.slice(1));
  // Emptied, they are the plan's again.
  expect((await pages.send(`${at('engine-oil')}/steps`, { steps: '' }, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.steps).toEqual(before);
});

test('no caution gets lost with the step that it stood above', async () => {
  const before = taskOf('engine-oil');
  const ofSteps = (before?.steps ?? []).flatMap(({ caution }) => caution ?? []);
  expect(ofSteps.length).toBeGreaterThan(0);
  const steps = 'Let it run warm\nDrain it';
  const shown = await pages.send(`${at('engine-oil')}/steps`, { steps });
  expect(shown.text).toMatch(/\+ +cautions: \[/);
  expect((await pages.send(`${at('engine-oil')}/steps`, { steps }, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.steps).toEqual([{ do: 'Let it run warm' }, { do: 'Drain it' }]);
  const kept = (taskOf('engine-oil')?.cautions ?? []).map((one) => JSON.stringify(one));
  for (const caution of [...(before?.cautions ?? []), ...ofSteps]) expect(kept).toContain(JSON.stringify(caution));
  expect(new Set(kept).size).toBe(kept.length);
});

test('tools, notes, the state of the engine and what comes before are set; what cannot be is refused', async () => {
  const work = { tools: '17 mm socket\ntray', notes: 'yes', engine: 'cold', after: ['fan-belt'] };
  expect((await pages.send(`${at('engine-oil')}/steps`, work, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')).toMatchObject({
    tools: ['17 mm socket', 'tray'],
    notes: ['yes'],
    needs: { engine: 'cold' },
    after: ['fan-belt'],
  });
  const circle = await pages.send(`${at('fan-belt')}/steps`, { after: ['engine-oil'] }, 'write');
  expect([circle.status, circle.text.includes('tasks wait for each other')]).toEqual([400, true]);
  expect((await pages.send(`${at('engine-oil')}/steps`, { after: [] }, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.after).toEqual([]);
});

test('an added limit, part or fluid is taken out again, and a value of the plan comes back', async () => {
  const before = pages.read(file);
  const [part, limit] = [
    { name: 'belt clip', number0: '7' },
    { name: 'Belt edge', passes: 'no frayed edge' },
  ];
  expect((await pages.send(`${at('fan-belt')}/add/part`, part, 'write')).status).toBe(303);
  expect((await pages.send(`${at('fan-belt')}/add/test`, limit, 'write')).status).toBe(303);
  expect((await pages.send(`${at('fan-belt')}/add/test`, { ...limit, name: 'Belt face' }, 'write')).status).toBe(303);
  expect((await pages.send(at('fan-belt'), { 'limit0-min': '11 mm' }, 'write')).status).toBe(303);
  expect(taskOf('fan-belt')?.measure).toHaveLength(3);
  // What is typed for a thing that is taken out goes with it.
  const out = { 'limit0-out': 'yes', 'limit1-out': 'yes', 'limit2-out': 'yes', 'limit1-passes': 'x', partOut0: 'yes' };
  expect((await pages.send(at('fan-belt'), out, 'write')).status).toBe(303);
  expect(taskOf('fan-belt')).toMatchObject({
    parts: [],
    measure: [{ id: 'fan-belt-deflection', specification: { min: '10 mm' } }],
  });
  expect(pages.read(file)).toBe(before);
});

test('a job of more values than any plan of the library has is shown and changed like any other', async () => {
  const parts = Array.from({ length: 60 }, (_, index) => `      - { name: clip ${index}, number: "${index}" }\n`);
  writeFileSync(join(pages.dir, file), `${pages.read(file)}tasks:\n  fan-belt:\n    parts:\n${parts.join('')}`);
  expect((await pages.send(at('fan-belt'), { minutes: '50' }, 'write')).status).toBe(303);
  expect(taskOf('fan-belt')).toMatchObject({ minutes: 50 });
});
