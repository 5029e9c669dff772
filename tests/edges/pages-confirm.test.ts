import { afterEach, beforeEach, expect, test } from 'vitest';
import { addDays } from '../../src/domain/day.js';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { postLetters } from '../../src/ledger/post.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { formKey, type OpenPages, openPages } from '../stage/open-pages.js';

let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

function visitOf(machine: string) {
  const visit = pages.outlook().visits.find((one) => one.machine === machine);
  if (visit === undefined) throw new Error(`nothing is planned on ${machine}`);
  return visit;
}
function recordsOf(machine: string) {
  return gather(pages.books).machines.find((one) => one.machine === machine)?.records ?? [];
}
function linkTo(visit: string, days = 30): string {
  return `/v/${makePermit(pages.books, { scope: 'visit', subject: visit, person: 'ines', days })}`;
}
const today = () => pages.outlook().today;
/** A link comes with a notice, which keeps the visit's id. */
function announce(visit: ReturnType<typeof visitOf>) {
  const { id, machine, tasks, day } = visit;
  const notice = {
    kind: 'work' as const,
    to: 'ines',
    machine,
    visit: id,
    tasks,
    proposedDay: day,
    because: 'it is tomorrow',
  };
  const letter = { subject: 'Bank tractor', lead: 'Time for it.', blocks: [] };
  postLetters(pages.books, pages.outlook(), [{ message: { to: 'ines', notices: [notice] }, letter }]);
}

test('opening the link, however often, changes nothing', async () => {
  const visit = visitOf('bank-tractor');
  const before = pages.outlook().factsVersion;
  for (let time = 0; time < 5; time += 1) {
    const { status, text } = await pages.get(linkTo(visit.id));
    expect(status).toBe(200);
    expect(text).toContain('Yes, it is done');
  }
  expect((await fetch(`${pages.url}${linkTo(visit.id)}`, { method: 'HEAD' })).status).toBe(200);
  expect(pages.outlook().factsVersion).toBe(before);
});

test('the tap makes the record, which moves the next due date, and undo takes it back', async () => {
  const visit = visitOf('bank-tractor');
  const dueOf = (task: string) =>
    pages
      .outlook()
      .machines.find((one) => one.machine === 'bank-tractor')
      ?.dues.find((due) => due.task === task)?.day?.p50;
  const before = dueOf(visit.leadTask);
  const fields = { task: visit.tasks, hours: '388.2', day: today(), go: 'done' };
  const { status, headers } = await pages.post(linkTo(visit.id), fields);
  expect(status).toBe(303);
  const [record] = recordsOf('bank-tractor');
  expect(record).toMatchObject({ visit: visit.id, hours: 388.2, hoursKnown: 'read', by: 'ines', door: 'link' });
  expect(new Set(record?.tasks)).toEqual(new Set(visit.tasks));
  expect(dueOf(visit.leadTask)).not.toBe(before);
  expect((dueOf(visit.leadTask) ?? '') > today()).toBe(true);
  expect(pages.changes()).toBe(1);

  const shown = await pages.get(headers.get('location') ?? '');
  expect(shown.text).toContain('It is written down.');
  expect((await pages.get(linkTo(visit.id))).text).toContain('This much is done already.');

  expect((await pages.post(`/records/${record?.id}/undo`, {})).status).toBe(200);
  expect((await pages.post(`/records/${record?.id}/undo`, {})).status).toBe(200);
  expect(recordsOf('bank-tractor')).toEqual([]);
  expect((await pages.get(headers.get('location') ?? '')).status).toBe(404);
});

test('confirmed twice, by link, by sheet, and at the same moment, it is one record', async () => {
  const visit = visitOf('bank-tractor');
  const fields = { task: visit.tasks, hours: '388.2', day: today() };
  const key = formKey();
  const answers = await Promise.all([
    ...Array.from({ length: 4 }, () => pages.post(linkTo(visit.id), { ...fields, go: 'done', key })),
    pages.post(`/visits/${visit.id}/sheet`, { ...fields, go: 'record' }),
    pages.post(linkTo(visit.id), { ...fields, go: 'done' }),
  ]);
  for (const { status } of answers) expect([200, 303]).toContain(status);
  expect(recordsOf('bank-tractor')).toHaveLength(1);
});

test('what was not ticked stays due', async () => {
  const visit = visitOf('bank-tractor');
  const [first, ...rest] = visit.tasks;
  await pages.post(linkTo(visit.id), { task: rest, day: today(), go: 'done' });
  expect(recordsOf('bank-tractor')[0]?.tasks).not.toContain(first);
  const again = visitOf('bank-tractor');
  expect(again.tasks).toContain(first);
});

test('a wrong entry is refused with what was typed kept, and nothing is recorded', async () => {
  const visit = visitOf('bank-tractor');
  const fields = { task: visit.tasks, day: today(), go: 'done', note: 'new seal on the left' };
  const wrong: readonly Record<string, string | readonly string[]>[] = [
    { ...fields, hours: '12' },
    { ...fields, hours: 'lots' },
    { ...fields, day: addDays(today(), 1) },
    { ...fields, day: '2026-02-30' },
    { ...fields, task: [] },
    { ...fields, task: ['no-such-task'] },
    { ...fields, minutes: 'long' },
    { ...fields, note: 'n'.repeat(2001) },
  ];
  for (const entry of wrong) {
    const { status, text } = await pages.post(linkTo(visit.id), entry);
    expect(status, JSON.stringify(entry)).toBe(400);
    expect(text).toContain('Not taken.');
    if (entry.note === fields.note) expect(text).toContain('new seal on the left');
  }
  expect(recordsOf('bank-tractor')).toEqual([]);
});

test('hours that are hard to believe are asked about, and count with one more tick', async () => {
  const visit = visitOf('bank-tractor');
  const fields = { task: visit.tasks, day: today(), go: 'done', hours: '836.8' };
  const asked = await pages.post(linkTo(visit.id), fields);
  expect(asked.status).toBe(400);
  expect(asked.text).toContain('name="sure"');
  expect((await pages.post(linkTo(visit.id), { ...fields, sure: 'yes' })).status).toBe(303);
  expect(recordsOf('bank-tractor')[0]?.hours).toBe(836.8);
});

test('forged and expired links open nothing and record nothing', async () => {
  const visit = visitOf('bank-tractor');
  const link = linkTo(visit.id, 2);
  const fields = { task: visit.tasks, day: today(), go: 'done' };
  const forged = `${link.slice(0, -1)}${link.endsWith('A') ? 'B' : 'A'}`;
  expect((await pages.get(forged)).status).toBe(403);
  expect((await pages.post(forged, fields)).status).toBe(403);
  expect((await pages.get(`${link}.`)).status).toBe(200);
  expect((await pages.get(`${link}?from=mail`)).status).toBe(200);
  pages.passDays(4);
  expect((await pages.get(link)).status).toBe(410);
  expect((await pages.post(link, fields)).status).toBe(410);
  expect(recordsOf('bank-tractor')).toEqual([]);
});

test('a link to a visit that nobody knows is a page in plain words', async () => {
  const { status, text } = await pages.get(linkTo('bank-tractor-nothing-9'));
  expect(status).toBe(404);
  expect(text).toContain('months ahead');
});

test('"ask me on", "leave it out" and "I have them all" are answers, without a record', async () => {
  const visit = visitOf('bank-tractor');
  announce(visit);
  const answers = () => gather(pages.books).machines.find((one) => one.machine === 'bank-tractor')?.answers ?? [];
  expect(
    (await pages.post(linkTo(visit.id), { task: visit.tasks, go: 'ask-on', askOn: addDays(today(), 9) })).status,
  ).toBe(303);
  expect(answers().at(-1)).toMatchObject({ kind: 'ask-on', day: addDays(today(), 9) });
  expect((await pages.post(linkTo(visit.id), { go: 'leave-out' })).status).toBe(400);
  for (const askOn of ['', today(), '2026-13-01', addDays(today(), 4000)]) {
    expect((await pages.post(linkTo(visit.id), { task: visit.tasks, go: 'ask-on', askOn })).status, askOn).toBe(400);
  }
  expect((await pages.post(linkTo(visit.id), { task: visit.tasks, go: 'nonsense' })).status).toBe(400);
  expect((await pages.post(linkTo(visit.id), { task: visit.tasks, go: 'have-parts' })).headers.get('location')).toBe(
    '/answered/answer-2',
  );
  expect(answers().at(-1)).toMatchObject({ kind: 'have-parts' });
  expect((await pages.post(linkTo(visit.id), { task: visit.tasks, go: 'leave-out' })).status).toBe(303);
  expect(answers().at(-1)).toMatchObject({ kind: 'leave-out', tasks: visit.tasks });
  expect((await pages.get('/answered/answer-3')).text).toContain('left out this time');
  expect((await pages.get('/answered/nonsense')).status).toBe(404);
  expect(recordsOf('bank-tractor')).toEqual([]);
});

test('an answer can be taken back, on the page after it and on the machine\u2019s; twice is once', async () => {
  const visit = visitOf('bank-tractor');
  const before = pages.outlook().visits;
  const post = await pages.post(linkTo(visit.id), { task: visit.tasks, go: 'leave-out' });
  const page = post.headers.get('location') ?? '';
  const undo = `${page}/undo`;
  expect((await pages.get(page)).text).toContain(`action="${undo}"`);
  const machine = await pages.get('/machines/bank-tractor');
  expect(machine.text).toContain(`action="${undo}"`);
  expect(machine.text).toContain('Ines answered');
  expect(pages.outlook().visits.some((one) => one.id === visit.id)).toBe(false);
  const changes = pages.changes();
  for (let time = 0; time < 2; time += 1) {
    expect(await pages.post(undo, {})).toMatchObject({ status: 303 });
    expect((await pages.get(page)).text).toContain('It is taken back.');
  }
  expect(pages.changes()).toBe(changes + 1);
  expect(pages.outlook().visits).toEqual(before);
  const after = await pages.get('/machines/bank-tractor');
  expect(after.text).toMatch(/<s>Left out /);
  expect(after.text).not.toContain(`action="${undo}"`);
  expect((await pages.post('/answered/answer-99/undo', {})).status).toBe(404);
  expect((await pages.post(undo, { key: '' })).status).toBe(400);
  expect((await pages.post(undo, {}, { origin: 'http://elsewhere.test' })).status).toBe(403);
});

test('an old link says what changed since it was sent', async () => {
  const visit = visitOf('bank-tractor');
  const [left] = visit.tasks;
  const outlook = pages.outlook();
  const notice = {
    kind: 'work',
    to: 'ines',
    machine: visit.machine,
    visit: visit.id,
    tasks: visit.tasks,
    proposedDay: visit.day,
    because: 'it is time',
  } as const;
  const letter = { subject: 'Bank tractor', lead: 'It is time.', blocks: [] };
  postLetters(pages.books, outlook, [{ message: { to: 'ines', notices: [notice] }, letter }]);
  expect((await pages.get(linkTo(visit.id))).text).not.toMatch(/since the letter/i);
  await pages.post(linkTo(visit.id), { task: [left ?? ''], day: today(), go: 'done' });
  const { text } = await pages.get(linkTo(visit.id));
  expect(text).toMatch(/No longer on it since the letter of|Since the letter of/);
});

test('the whole sheet is one form: findings are judged and kept with the record', async () => {
  const visit = visitOf('bank-tractor');
  const sheet = sheetOf(pages.books.home(), gather(pages.books), visit);
  const { text } = await pages.get(`/visits/${visit.id}/sheet`);
  const names = [...text.matchAll(/name="(m\.[^"]+)"/g)].map((found) => found[1] ?? '');
  expect(names.length).toBeGreaterThan(10);
  const measured = sheet?.lines.filter((line) => line.kind === 'measurement') ?? [];
  const level = measured.find((line) => line.measurement.specification.kind === 'level');
  if (level === undefined) throw new Error('the sheet has no level to look at');
  const field = `m.${level.task}.${level.measurement.id}.0`;
  const { status } = await pages.post(`/visits/${visit.id}/sheet`, {
    task: visit.tasks,
    day: today(),
    by: 'tomas',
    minutes: '95',
    note: 'all well',
    go: 'record',
    [`${field}.found`]: 'below the lower mark',
    [`${field}.second`]: '0.2 L',
    'm.no-such.task.0.found': '12 mm',
  });
  expect(status).toBe(303);
  const [record] = recordsOf('bank-tractor');
  expect(record).toMatchObject({ by: 'tomas', minutes: 95, note: 'all well', door: 'page' });
  expect(record?.findings).toEqual([
    expect.objectContaining({
      measurement: level.measurement.id,
      found: 'below the lower mark, 0.2 L',
      verdict: 'out',
    }),
  ]);
});

test('Enter in a field of the sheet only looks it over', async () => {
  const visit = visitOf('bank-tractor');
  const page = await pages.get(`/visits/${visit.id}/sheet`);
  const first = /<button[^>]*type="submit"[^>]*>/.exec(page.text.slice(page.text.indexOf('<form')))?.[0] ?? '';
  expect(first).toContain('value="look"');
  const { status, text } = await pages.post(`/visits/${visit.id}/sheet`, {
    task: visit.tasks.slice(0, 2),
    day: today(),
    note: 'half way',
    go: 'look',
  });
  expect(status).toBe(200);
  expect(text).toContain('Nothing is written down yet');
  expect(text).toContain('half way');
  expect(text.match(/name="task"[^>]*checked/g)).toHaveLength(2);
  expect(recordsOf('bank-tractor')).toEqual([]);
});

test('a finding that cannot be read is refused, and the whole sheet comes back as typed', async () => {
  const visit = visitOf('bank-tractor');
  const sheet = sheetOf(pages.books.home(), gather(pages.books), visit);
  const line = sheet?.lines.find(
    (one) => one.kind === 'measurement' && one.measurement.specification.kind === 'lookup',
  );
  if (line?.kind !== 'measurement') throw new Error('the sheet measures no voltage');
  const field = `m.${line.task}.${line.measurement.id}.0.found`;
  const { status, text } = await pages.post(`/visits/${visit.id}/sheet`, {
    task: visit.tasks,
    day: today(),
    go: 'record',
    [field]: 'twelve and a bit',
  });
  expect(status).toBe(400);
  expect(text).toContain('twelve and a bit');
  expect(recordsOf('bank-tractor')).toEqual([]);
});

test('a sheet filled to the last field with a long note still goes through in one piece', async () => {
  const visit = visitOf('bank-tractor');
  const { text } = await pages.get(`/visits/${visit.id}/sheet`);
  const fields = Object.fromEntries(
    [...text.matchAll(/name="(m\.[^"]+\.note)"/g)].map((found) => [found[1] ?? '', 'ü'.repeat(60)]),
  );
  const { status } = await pages.post(`/visits/${visit.id}/sheet`, {
    ...fields,
    task: visit.tasks,
    day: today(),
    note: 'ж'.repeat(2000),
    go: 'record',
  });
  expect(status).toBe(303);
});

test('the page of notices shows what was written, to whom, and opens the letter', async () => {
  const visit = visitOf('bank-tractor');
  const letter = {
    subject: 'Bank tractor: tyres, Sat 28 February',
    lead: 'The bank tractor wants you on Saturday.',
    blocks: [
      { kind: 'heading', text: 'To buy' },
      { kind: 'list', items: ['1 × <filter>'] },
      { kind: 'link', label: 'Done? Say so here', url: `http://shed.test:8377${linkTo(visit.id)}`, main: true },
      { kind: 'link', label: 'odd', url: 'javascript:alert(1)', main: false },
    ],
  } as const;
  const notice = {
    kind: 'parts',
    to: 'ines',
    machine: visit.machine,
    visit: visit.id,
    tasks: visit.tasks,
    proposedDay: visit.day,
    because: 'parts take a week',
  } as const;
  expect((await pages.get('/notices')).text).toContain('Nothing has been sent yet.');
  postLetters(pages.books, pages.outlook(), [{ message: { to: 'ines', notices: [notice] }, letter }]);
  const list = await pages.get('/notices');
  expect(list.text).toContain(letter.subject);
  expect(list.text).toContain('To Ines');
  expect(list.text).toContain('data/outbox');
  const path = /href="(\/notices\/[^"]+)"/.exec(list.text)?.[1] ?? '';
  const { status, text } = await pages.get(path);
  expect(status).toBe(200);
  expect(text).toContain('1 × &lt;filter>');
  expect(text).toContain('href="/v/');
  expect(text).not.toContain('javascript:');
  expect((await pages.get('/notices/no-such')).status).toBe(404);
});

test('nothing of this is logged as a fault of the pages', async () => {
  await pages.get('/visits/no-such/sheet');
  await pages.post('/visits/no-such/sheet', { task: ['a'], go: 'record' });
  await pages.post('/records/no-such/undo', {});
  expect(pages.errors).toEqual([]);
});
