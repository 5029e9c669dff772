import { afterEach, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { mowerJob, mowerWith } from '../stage/mower-jobs.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const adjusted = {
  kind: 'adjustThen',
  adjustTo: '12 mm',
  // biome-ignore lint/suspicious/noThenProperty: the plan's own word for the further step
  then: 'half a turn back',
  min: '14 mm',
  max: '18 mm',
} as const;
const tasks = [
  mowerJob('cable', 'Cable of the drive', {
    measure: [{ id: 'play', name: 'play of the cable', specification: adjusted }],
  }),
  mowerJob('air-filter', 'Air filter'),
];

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages({}, true, mowerWith(tasks));
});
afterEach(() => pages.close());

function visit() {
  const found = pages.outlook().visits.find((one) => one.tasks.includes('cable'));
  if (found === undefined) throw new Error('the cable is not planned');
  return found;
}
const fields = () => ({ task: ['cable', 'air-filter'], held: ['cable', 'air-filter'], day: pages.outlook().today });
const left = 'm.cable.play.0.left';

test('on the sheet a job that adjusts is not done without its value as left: the answer leads to the field', async () => {
  const sheet = `/visits/${visit().id}/sheet`;
  const refused = await pages.post(sheet, { ...fields(), go: 'record' });
  expect(refused.status).toBe(400);
  expect(refused.text).toMatch(/not done without a value: play of the cable, as left/);
  expect(refused.text).toMatch(/href="#at-m.cable.play.0.left"/);
  expect(refused.text).toMatch(/id="at-m.cable.play.0.left"[^>]*aria-invalid="true"/);
  expect(gather(pages.books).machines[0]?.records).toEqual([]);
  expect((await pages.post(sheet, { ...fields(), go: 'record', [left]: '16' })).status).toBe(303);
  expect(gather(pages.books).machines[0]?.records).toMatchObject([
    { tasks: ['cable', 'air-filter'], findings: [{ left: '16 mm', verdict: 'in' }] },
  ]);
});

test('a link, which has no field for it, leaves that job unticked and points to the sheet', async () => {
  const { id } = visit();
  const link = `/v/${makePermit(pages.books, { scope: 'visit', subject: id, person: 'ines', days: 30 })}`;
  const { text } = await pages.get(link);
  expect(text).not.toMatch(/name="task" value="cable" checked/);
  expect(text).toMatch(/name="task" value="air-filter" checked/);
  expect(text).toContain('Confirm this one on the sheet: it wants its value as left.');
  expect((await pages.post(link, { ...fields(), go: 'done' })).status).toBe(400);
  expect((await pages.post(link, { ...fields(), task: ['air-filter'], go: 'done' })).status).toBe(303);
  expect(gather(pages.books).machines[0]?.records).toMatchObject([{ tasks: ['air-filter'] }]);
});
