import { afterEach, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { mowerJob, mowerWith } from '../stage/mower-jobs.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const stop = { kind: 'test', passes: 'the engine stops', stopUse: true } as const;
const tasks = [
  mowerJob('stop-switch', 'Stop switch', { measure: [{ id: 'stop', name: 'stop switch', specification: stop }] }),
  mowerJob('air-filter', 'Air filter'),
];

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages({}, true, mowerWith(tasks));
});
afterEach(() => pages.close());

function visit() {
  const found = pages.outlook().visits.find((one) => one.tasks.includes('stop-switch'));
  if (found === undefined) throw new Error('the stop switch is not planned');
  return found;
}
const today = () => pages.outlook().today;
const failed = 'm.stop-switch.stop.0.found';
const left = 'm.stop-switch.stop.0.left';
const dueOf = (id: string) => pages.outlook().machines[0]?.dues.find((due) => due.task === id);
const stays = 'stop switch: found outside its limits today, to be mended; do not use it until mended.';

test('a safety test that failed stays due, and record, first page, machine, sheet and link say not to use it', async () => {
  const { id } = visit();
  const answer = await pages.post(`/visits/${id}/sheet`, {
    task: ['stop-switch', 'air-filter'],
    held: ['stop-switch', 'air-filter'],
    day: today(),
    go: 'record',
    [failed]: 'failed',
  });
  expect(answer.status).toBe(303);
  const record = answer.headers.get('location') ?? '';
  expect(dueOf('stop-switch')?.day?.p50).toBe(today());
  expect((dueOf('air-filter')?.day?.p50 ?? '') > today()).toBe(true);
  const { id: now } = visit();
  const link = `/v/${makePermit(pages.books, { scope: 'visit', subject: now, person: 'ines', days: 30 })}`;
  for (const path of [record, '/', '/machines/paddock-mower', `/visits/${now}/sheet`, link]) {
    const { text } = await pages.get(path);
    expect(text, path).toContain(stays);
    expect(text, path).not.toContain('Nothing to do this week');
  }
  expect((await pages.get(record)).text).toContain('not done: stop switch');
  // Nobody says by a slip that it was mended.
  expect((await pages.get(link)).text).toMatch(/value="stop-switch"(?! checked)[^>]*\/>/);
  expect((await pages.get(link)).text).not.toMatch(/name="task" value="stop-switch" checked/);

  await pages.post(link, { task: 'stop-switch', day: today(), go: 'done' });
  expect((await pages.get('/')).text).not.toContain('found outside its limits');
  expect((dueOf('stop-switch')?.day?.p50 ?? '') > today()).toBe(true);
});

test('what was mended on the spot is said on the sheet, and closes the job', async () => {
  const { id } = visit();
  expect((await pages.get(`/visits/${id}/sheet`)).text).toContain('Mended on the spot, as left: passed');
  const fields = { task: ['stop-switch'], held: ['stop-switch'], day: today(), go: 'record' };
  await pages.post(`/visits/${id}/sheet`, { ...fields, [failed]: 'failed', [left]: 'passed' });
  expect(gather(pages.books).machines[0]?.records[0]).toMatchObject({
    tasks: ['stop-switch'],
    findings: [{ found: 'failed', left: 'passed', verdict: 'out' }],
  });
  expect((await pages.get('/')).text).not.toContain('found outside its limits');
});

test('a record that told of it, taken back, takes the sentence with it', async () => {
  const { id } = visit();
  const fields = { task: ['stop-switch'], held: ['stop-switch'], day: today(), go: 'record', [failed]: 'failed' };
  const record = (await pages.post(`/visits/${id}/sheet`, fields)).headers.get('location') ?? '';
  expect((await pages.get('/')).text).toContain(stays);
  await pages.post(`${record}/undo`, {});
  expect((await pages.get('/')).text).not.toContain('found outside its limits');
});
