import { afterEach, beforeEach, expect, test } from 'vitest';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { postLetters } from '../../src/ledger/post.js';
import { formOf } from '../stage/forms.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

// The plan moves on while somebody is at the bench: what was done is on record all the same, and once.
let pages: OpenPages;
beforeEach(async () => {
  pages = await openPages();
});
afterEach(() => pages.close());

const machine = 'bank-tractor';
const today = () => pages.outlook().today;
function firstVisit() {
  const visit = pages.outlook().visits.find((one) => one.machine === machine && one.tasks.length > 1);
  if (visit === undefined) throw new Error('nothing is planned');
  return visit;
}
const records = () => gather(pages.books).machines.find((one) => one.machine === machine)?.records ?? [];
const linkTo = (visit: string, person = 'ines') =>
  `/v/${makePermit(pages.books, { scope: 'visit', subject: visit, person, days: 90 })}`;
function announce(visit: ReturnType<typeof firstVisit>) {
  const notice = {
    kind: 'work' as const,
    to: 'ines',
    machine: visit.machine,
    visit: visit.id,
    tasks: visit.tasks,
    proposedDay: visit.day,
    because: 'it is tomorrow',
  };
  const letter = { subject: 'Bank tractor', lead: 'Time for it.', blocks: [] };
  postLetters(pages.books, pages.outlook(), [{ message: { to: 'ines', notices: [notice] }, letter }]);
}
/** Somebody else records tasks under another visit. */
function recordElsewhere(tasks: readonly string[], id = `${machine}-else-1`) {
  pages.passDays(0.01);
  const said = { tasks: null, hours: null, by: null, note: null, minutes: null, findings: [], key: null };
  const visit = { id, machine, tasks };
  expect(confirmVisit(pages.books, { ...said, visit, day: today(), door: 'page' }).kind).toBe('recorded');
}
async function sentBack(path: string, fields: Record<string, string | readonly string[]>) {
  const form = formOf((await pages.get(path)).text, 'day');
  const held = form.fields.filter(([name]) => name === 'held').map(([, value]) => value);
  const one = Object.fromEntries(form.fields.filter(([name]) => !['held', 'task'].includes(name)));
  return () => pages.post(path, { ...one, held, task: held, ...fields });
}

test('a sheet whose visit was renamed at the bench is recorded, without what was recorded meanwhile', async () => {
  const visit = firstVisit();
  const send = await sentBack(`/visits/${visit.id}/sheet`, { go: 'record' });
  recordElsewhere([visit.leadTask]);
  expect(pages.outlook().visits.some((one) => one.id === visit.id)).toBe(false);
  expect((await send()).status).toBe(303);
  const own = records().filter((record) => record.visit === visit.id);
  expect(own.flatMap((record) => record.tasks).sort()).toEqual(visit.tasks.filter((t) => t !== visit.leadTask).sort());
  expect((await send()).status).toBe(303);
  expect(records().flatMap((record) => record.tasks)).toHaveLength(visit.tasks.length);
});

test('a link page left open while the work was recorded by another makes no second record', async () => {
  const visit = firstVisit();
  announce(visit);
  const send = await sentBack(linkTo(visit.id), { go: 'done' });
  recordElsewhere(visit.tasks);
  pages.passDays(3);
  expect((await send()).status).toBe(303);
  expect(records()).toHaveLength(1);
});

/** An announced visit whose rest is spread over two others by now, with one of its tasks on record. */
function announcePartly() {
  const [near, far] = pages.outlook().visits.filter((one) => one.machine === machine);
  const [done, here] = near?.tasks ?? [];
  const there = far?.tasks.find((task) => !near?.tasks.includes(task));
  if (near === undefined || done === undefined || here === undefined || there === undefined)
    throw new Error('too little');
  const visit = { ...near, id: `${machine}-spring-round-1`, tasks: [done, here, there] };
  announce(visit);
  recordElsewhere([done], visit.id);
  pages.passDays(2);
  expect(pages.outlook().visits.some((one) => one.id === visit.id)).toBe(false);
  return { visit, done, rest: [here, there] };
}
const ticksIn = (text: string) => [...text.matchAll(/name="task" value="([^"]+)"/g)].map((found) => found[1]);

test('an old link to a visit of which a part is recorded says which, and shows the rest to confirm', async () => {
  const { visit, rest } = announcePartly();
  const { status, text } = await pages.get(linkTo(visit.id));
  expect(status).toBe(200);
  expect(text).toContain('Part of this is done.');
  expect(text).not.toContain('This is done already.');
  expect(text).toContain('/records/record-1/undo');
  expect(ticksIn(text)).toEqual(rest);
  expect(text).not.toMatch(/name="task"[^>]*checked/);
  for (const task of rest) {
    const holder = pages.outlook().visits.find((one) => one.machine === machine && one.tasks.includes(task));
    expect(text).toContain(`/visits/${holder?.id}/sheet`);
  }
  const sheet = await pages.get(`/visits/${visit.id}/sheet`);
  expect(sheet).toMatchObject({ status: 200, text: expect.stringContaining('Part of this is done.') });
});

test('the rest is confirmed on the old link, each task once; then it is done already', async () => {
  const { visit, rest } = announcePartly();
  const link = linkTo(visit.id);
  const wrong = await pages.post(link, { task: rest, day: '2031-01-01', go: 'done', note: 'both sides' });
  expect(wrong.status).toBe(400);
  expect(wrong.text).toContain('Not taken.');
  expect(wrong.text).toContain('both sides');
  expect((await pages.post(link, { day: today(), go: 'done' })).status).toBe(400);
  const send = await sentBack(link, { go: 'done', task: rest });
  expect((await send()).status).toBe(303);
  expect((await send()).status).toBe(303);
  expect(records().map((record) => record.tasks)).toEqual([[visit.tasks[0]], rest]);
  expect((await pages.get(link)).text).toContain('This is done already.');
});

test('the whole visit sent from a page opened before is recorded without what is on record', async () => {
  const { visit, rest } = announcePartly();
  const answer = await pages.post(linkTo(visit.id), { task: visit.tasks, day: today(), go: 'done' });
  expect(answer.status).toBe(303);
  expect(records().at(-1)?.tasks).toEqual(rest);
});

test('a visit that was never announced does not claim to be done whole, and leads to what is still planned', async () => {
  const visit = firstVisit();
  recordElsewhere([visit.leadTask], visit.id);
  const next = pages.outlook().visits.find((one) => one.machine === machine);
  expect(next?.id).not.toBe(visit.id);
  for (const path of [linkTo(visit.id), `/visits/${visit.id}/sheet`]) {
    const { status, text } = await pages.get(path);
    expect(status).toBe(200);
    expect(text).toContain('This much is done already.');
    expect(text).toContain(`/visits/${next?.id}/sheet`);
  }
});

test('an old link opened in a new cycle shows that it is over, and confirms nothing', async () => {
  const visit = firstVisit();
  announce(visit);
  recordElsewhere(visit.tasks);
  pages.passDays(80);
  const shown = await pages.get(linkTo(visit.id));
  expect(shown.status).toBe(410);
  expect(shown.text).not.toContain('Yes, it is done');
  const answer = await pages.post(linkTo(visit.id), { task: visit.tasks, day: today(), go: 'done' });
  expect(answer.status).toBe(410);
  expect(records()).toHaveLength(1);
});

test('a tick for a task that left the visit is never dropped in silence', async () => {
  const visit = firstVisit();
  const answer = await pages.post(linkTo(visit.id), {
    task: [...visit.tasks, 'no-such-task'],
    day: today(),
    go: 'done',
  });
  expect(answer.status).toBe(400);
  expect(answer.text).toContain('no such task');
  expect(records()).toEqual([]);
});

test('the link of somebody who left the household opens nothing', async () => {
  const visit = firstVisit();
  const link = linkTo(visit.id, 'gone-cousin');
  expect((await pages.get(link)).status).toBe(403);
  expect((await pages.post(link, { task: visit.tasks, day: today(), go: 'done' })).status).toBe(403);
  const reading = `/r/${makePermit(pages.books, { scope: 'reading', subject: machine, person: 'gone-cousin', days: 9 })}`;
  expect((await pages.post(reading, { hours: '390' })).status).toBe(403);
  expect(records()).toEqual([]);
});

test('after "leave it out" the link says so and until when, and leads to taking it back', async () => {
  const visit = firstVisit();
  announce(visit);
  const link = linkTo(visit.id);
  const left = await pages.post(link, { task: visit.tasks, go: 'leave-out' });
  const answered = left.headers.get('location') ?? '';
  for (const path of [link, `/visits/${visit.id}/sheet`]) {
    const { status, text } = await pages.get(path);
    expect(status).toBe(410);
    expect(text).toContain('It is left out this time.');
    expect(text).not.toContain('planned together');
    expect(text).toMatch(/: about \d|no day can be named yet/);
    expect(text).toContain(`href="${answered}"`);
  }
  await pages.post(`${answered}/undo`, {});
  expect((await pages.get(link)).text).toContain('Yes, it is done');
});
