import { afterEach, beforeEach, expect, test } from 'vitest';
import { gather } from '../../src/ledger/gather.js';
import { makePermit } from '../../src/ledger/permit.js';
import { postLetters } from '../../src/ledger/post.js';
import { formOf, sendForm } from '../stage/forms.js';
import { type OpenPages, openPages } from '../stage/open-pages.js';

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

function announceWith(visit: ReturnType<typeof visitOf>, kind: 'work' | 'parts' = 'work', named = visit.tasks) {
  const outlook = pages.outlook();
  const visits = outlook.visits.map((one) => (one.id === visit.id ? visit : one));
  const notice = { to: 'ines', machine: visit.machine, visit: visit.id, proposedDay: visit.day, because: 'it is time' };
  const letter = { subject: 'Bank tractor', lead: 'It is time.', blocks: [] };
  const message = { to: 'ines', notices: [{ ...notice, kind, tasks: named }] };
  postLetters(pages.books, { ...outlook, visits }, [{ message, letter }]);
}

test('what is new since the link was sent starts unticked, and untouched it is not written down', async () => {
  const visit = visitOf('bank-tractor');
  const [first = '', second = '', ...rest] = visit.tasks;
  announceWith({ ...visit, tasks: [first, ...rest] });
  const { text } = await pages.get(linkTo(visit.id));
  expect(text).toMatch(/New on it since the letter of [^:<]*:/);
  expect(text).toContain('New since an earlier letter.');
  const form = formOf(text, 'day');
  const ticked = form.fields.filter(([name]) => name === 'task').map(([, value]) => value);
  expect([...ticked].sort()).toEqual([first, ...rest].sort());
  expect(ticked).not.toContain(second);
  expect((await sendForm(pages.url, form, { go: 'done' })).status).toBe(303);
  expect(recordsOf('bank-tractor')[0]?.tasks).not.toContain(second);
});

test('a letter about the parts of some jobs was about the whole visit: nothing on it is new', async () => {
  const visit = visitOf('bank-tractor');
  announceWith(visit, 'parts', visit.tasks.slice(0, 1));
  const { text } = await pages.get(linkTo(visit.id));
  expect(text).not.toContain('New ');
  expect(text.match(/name="task"[^>]*checked/g)).toHaveLength(visit.tasks.length);
});

test('the hours stay empty unless somebody types them, and the form says what empty means', async () => {
  const visit = visitOf('bank-tractor');
  for (const path of [linkTo(visit.id), `/visits/${visit.id}/sheet`]) {
    const { text } = await pages.get(path);
    expect(formOf(text, 'day').fields.find(([name]) => name === 'hours')).toEqual(['hours', '']);
    expect(text).toContain('the record then says that nobody read it');
  }
});

test('season work months ahead of its season is asked about, and counts with one more tick', async () => {
  const mower = 'paddock-mower';
  // February: putting it away comes in autumn.
  const season = pages.books
    .home()
    .machines.find((one) => one.id === mower)
    ?.tasks.find((task) => task.season?.before === 'first-frost' && task.every === undefined);
  if (season === undefined) throw new Error('the mower is never put away');
  const id = `${mower}-${season.id}-1`;
  const due = () =>
    pages
      .outlook()
      .machines.find((one) => one.machine === mower)
      ?.dues.find((one) => one.task === season.id)?.calendarDay;
  const before = due();
  const fields = { machine: mower, held: [season.id], task: [season.id], day: today(), go: 'record' };
  const asked = await pages.post(`/visits/${id}/sheet`, fields);
  expect(asked.status).toBe(400);
  expect(asked.text).toContain('is season work for about');
  expect(asked.text).toContain('name="season"');
  expect(recordsOf(mower)).toEqual([]);
  expect(due()).toBe(before);
  expect((await pages.post(`/visits/${id}/sheet`, { ...fields, season: 'yes' })).status).toBe(303);
  expect(recordsOf(mower)[0]?.tasks).toEqual([season.id]);
});
