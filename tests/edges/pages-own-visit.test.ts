import { afterEach, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { setStock } from '../../src/ledger/stock.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { saySheetLine } from '../../src/words/sheet.js';
import { mowerJob, mowerWith } from '../stage/mower-jobs.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

const tasks = [
  mowerJob('belt', 'Drive belt', {
    minutes: 5,
    measure: [{ id: 'play', name: 'deflection', specification: { kind: 'range', min: '10 mm', max: '14 mm' } }],
    ifOut: {
      minutes: 40,
      needs: { raised: 'front' },
      tools: ['pry bar'],
      steps: [{ do: 'Lever it out' }, { do: 'Lock it' }],
      parts: [{ name: 'drive belt', quantity: 1, leadDays: 9 }],
    },
  }),
  mowerJob('air-filter', 'Air filter'),
];

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages({}, true, mowerWith(tasks));
});
afterEach(() => pages.close());

function visitOf(id: string) {
  const found = pages.outlook().visits.find((one) => one.tasks.includes(id));
  if (found === undefined) throw new Error(`${id} is not planned`);
  return found;
}
const facts = () => gather(pages.books);
const aboutMower = () => facts().machines.find(({ machine }) => machine === 'paddock-mower');
function sheetText(id: string): string {
  const sheet = sheetOf(pages.books.home(), facts(), visitOf(id));
  return (sheet?.lines ?? []).flatMap(saySheetLine).join('\n');
}
const found = 'm.belt.play.0.found';
const notToday = { [found]: '19 mm', 'apart.belt': 'yes' };
const post = (fields: Record<string, string | string[]>, id = visitOf('belt').id) =>
  pages.post(`/visits/${id}/sheet`, {
    held: ['belt', 'air-filter'],
    task: ['air-filter'],
    day: pages.outlook().today,
    go: 'record',
    ...fields,
  });

test('before it was measured: both times are said, and its part is a perhaps, never to buy', async () => {
  const visit = visitOf('belt');
  expect(visit.tasks).toEqual(['belt', 'air-filter']);
  expect(visit).toMatchObject({ minutes: 20 + 5 + 10, shopping: [], buyBy: null });
  expect(visit.perhaps).toMatchObject([{ name: 'drive belt', toBuy: 1, leadDays: 9, tasks: ['belt'] }]);
  const { text } = await pages.get(`/visits/${visit.id}/sheet`);
  expect(text).toContain('5 min, or 45 if it needs adjusting');
  expect(text).toMatch(/<h2>Perhaps<\/h2><ul class="plain"><li>1 drive belt<\/li><\/ul>/);
  expect(text).toContain('nothing of this is bought before');
  expect(text).toContain('Not today: make it a visit of its own');
  expect(text).toContain('Up to 40 minutes more, if all that may need adjusting does.');
  expect(text).not.toContain('<h2>To buy</h2>');
  expect(sheetText('belt')).toContain('Drive belt, 5 min, or 45 if it needs adjusting');
  expect(sheetText('belt')).toContain('[ ] Not today: make it a visit of its own');
  expect(pages.outlook().messages.flatMap(({ notices }) => notices.map(({ kind }) => kind))).not.toContain('parts');
});

test('found out and not today: a visit of its own, when its part can be here, with the whole work on its sheet', async () => {
  expect((await post(notToday)).status).toBe(303);
  expect(aboutMower()?.records).toMatchObject([
    { tasks: ['air-filter'], findings: [{ task: 'belt', verdict: 'out' }] },
  ]);
  expect(aboutMower()?.answers).toMatchObject([{ kind: 'own-visit', tasks: ['belt'] }]);
  const visit = visitOf('belt');
  expect(visit.tasks).toEqual(['belt']);
  expect(visit.minutes).toBe(20 + 5 + 40);
  expect(visit.shopping).toMatchObject([{ name: 'drive belt', toBuy: 1 }]);
  expect(visit.perhaps).toBeUndefined();
  expect(visit.buyBy).not.toBeNull();
  // Nine days to get it from Saturday 28 February, and people work at weekends.
  expect(visit.day).toBe('2026-03-14');
  const { text } = await pages.get(`/visits/${visit.id}/sheet`);
  expect(text).toMatch(/<h2>To buy<\/h2><ul class="plain"><li>1 drive belt, about 9 days to get/);
  expect(text).not.toContain('<h2>Perhaps</h2>');
  const said = sheetText('belt');
  expect(said).toContain('Drive belt, 45 min (found outside its limits on 2026-02-28, to be mended now)');
  const order = [
    'Do the belt',
    'raise the front',
    'Lever it out',
    'Lock it',
    'lower the front',
    'measure again',
    'deflection:',
  ];
  expect(order.map((words) => said.indexOf(words))).toEqual(
    order.map((words) => said.indexOf(words)).toSorted((a, b) => a - b),
  );
  expect(order.filter((words) => !said.includes(words))).toEqual([]);
  const home = await pages.get('/');
  expect(home.text).toContain(`/visits/${visit.id}`);
  expect(home.text).toContain('drive belt: found outside its limits');
});

test('its part is asked for by message once it was found out', async () => {
  await post(notToday);
  pages.passDays(1);
  const kinds = [...pages.outlook().messages, ...pages.outlook().waiting];
  expect(JSON.stringify(kinds)).toContain('"parts"');
});

test('once mended, the work is closed, its part comes off the shelf, and the long way is a perhaps again', async () => {
  await post(notToday);
  setStock(pages.books, { machine: 'paddock-mower', name: 'drive belt', amount: 2, by: null, key: null });
  const answer = await post({ held: ['belt'], task: ['belt'], [found]: '19 mm', 'm.belt.play.0.left': '12 mm' });
  expect(answer.status).toBe(303);
  expect(aboutMower()?.stock).toMatchObject({ 'drive belt': 1 });
  expect((await pages.get('/')).text).not.toContain('found outside its limits');
  expect(visitOf('belt').perhaps).toMatchObject([{ name: 'drive belt', toBuy: 0, inStock: 1 }]);
});

test('not today without a finding out of limits is refused, and leads to the tick', async () => {
  for (const fields of [{ 'apart.belt': 'yes' }, { ...notToday, [found]: '12 mm' }]) {
    const answer = await post(fields);
    expect(answer.status).toBe(400);
    expect(answer.text).toContain('Nothing of “Drive belt” is left for another visit');
    expect(answer.text).toContain('href="#at-apart.belt"');
  }
  const mendedAndApart = await post({ ...notToday, 'm.belt.play.0.left': '12 mm' });
  expect(mendedAndApart.status).toBe(400);
  expect(aboutMower()?.records).toEqual([]);
  expect(aboutMower()?.answers).toEqual([]);
});

test('it can be taken back: the answer, and the record that told of the finding', async () => {
  await post({ ...notToday, task: [] });
  // The filter is still due, and not in the same visit.
  expect(visitOf('air-filter').tasks).toEqual(['air-filter']);
  const machine = await pages.get('/machines/paddock-mower');
  expect(machine.text).toContain('A visit of its own: Drive belt.');
  await pages.post('/answered/answer-1/undo', {});
  expect(visitOf('belt').shopping).toMatchObject([{ name: 'drive belt', toBuy: 1 }]);
  const record = aboutMower()?.records[0]?.id ?? '';
  await pages.post(`/records/${record}/undo`, {});
  expect(visitOf('belt')).toMatchObject({ tasks: ['belt', 'air-filter'], shopping: [] });
});

test('from a link too, what waits to be mended is taken out of a visit with other work', async () => {
  await post({ [found]: '19 mm', task: ['belt'] });
  setStock(pages.books, { machine: 'paddock-mower', name: 'drive belt', amount: 1, by: null, key: null });
  const visit = visitOf('belt');
  expect(visit.tasks).toEqual(['belt', 'air-filter']);
  const link = `/v/${makePermit(pages.books, { scope: 'visit', subject: visit.id, person: 'ines', days: 30 })}`;
  expect((await pages.get(link)).text).toContain('What is to be mended: a visit of its own');
  expect((await pages.post(link, { task: ['belt'], go: 'own-visit' })).status).toBe(303);
  expect(visitOf('belt').tasks).toEqual(['belt']);
  expect(visitOf('air-filter').tasks).toEqual(['air-filter']);
});
