import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { commandsOn } from '../stage/command.js';
import { openSetUpPages, type SetUpPages } from '../stage/set-up-pages.js';

let pages: SetUpPages;
beforeEach(async () => {
  pages = await openSetUpPages();
});
afterEach(() => pages.close());

const file = 'machines/hill-tractor.yaml';
const at = (task: string) => `/set-up/machines/hill-tractor/tasks/${task}`;
const taskOf = (task: string) =>
  pages
    .home()
    .machines.find(({ id }) => id === 'hill-tractor')
    ?.tasks.find(({ id }) => id === task);

test('a limit of the manual is set on the page of its job, in the unit of the manual', async () => {
  const shown = await pages.send(at('fan-belt'), {
    'limit0-min': '3/8 in',
    'limit0-max': '1/2 in',
    'limit0-aim': '7/16 in',
  });
  expect(shown.text).toContain('min: 3/8 in');
  await pages.send(
    at('fan-belt'),
    { 'limit0-min': '3/8 in', 'limit0-max': '1/2 in', 'limit0-aim': '7/16 in' },
    'write',
  );
  expect(taskOf('fan-belt')?.measure[0]).toMatchObject({
    aim: '7/16 in',
    specification: { kind: 'range', min: '3/8 in', max: '1/2 in' },
  });
  // Emptied, it is the plan's again.
  await pages.send(at('fan-belt'), { 'limit0-min': '', 'limit0-max': '', 'limit0-aim': '' }, 'write');
  expect(taskOf('fan-belt')?.measure[0]).toMatchObject({ aim: '12 mm', specification: { min: '10 mm', max: '14 mm' } });
});

test('of a fluid the page sets how much, what it has to be, and grades by the cold', async () => {
  const oil = {
    quantity0: '4 1/2 US qt',
    must0: 'meets the norm on page 41',
    'grade0-0': '10W-30',
    'coldest0-0': '0 F',
    'grade0-1': '',
    'coldest0-1': '',
    'grade0-2': '',
    'coldest0-2': '',
  };
  expect((await pages.send(at('engine-oil'), oil, 'write')).status).toBe(303);
  expect(taskOf('engine-oil')?.fluids[0]).toMatchObject({
    name: 'engine oil',
    quantity: '4 1/2 US qt',
    must: 'meets the norm on page 41',
    choices: [{ grade: '10W-30', coldest: '0 F' }],
    fillFirst: '90 %',
  });
});

test('a part that this machine lacks is left out, stays on the page, and comes back', async () => {
  await pages.send(at('engine-oil'), { number1: 'W-5', count1: '0' }, 'write');
  expect(taskOf('engine-oil')?.parts.map(({ name }) => name)).toEqual(['engine oil filter']);
  expect(await pages.get(at('engine-oil'))).toContain('<legend>Drain plug washer</legend>');
  await pages.send(at('engine-oil'), { count1: '2' }, 'write');
  expect(taskOf('engine-oil')?.parts[1]).toMatchObject({ name: 'drain plug washer', number: 'W-5', quantity: 2 });
});

test('a part, a fluid and a limit that the plan does not have are added, and check accepts what was written', async () => {
  expect(
    (await pages.send(`${at('fan-belt')}/add/part`, { name: 'fan belt', number0: '0098', lead0: '4' }, 'write')).status,
  ).toBe(303);
  expect(
    (await pages.send(`${at('fan-belt')}/add/fluid`, { name: 'belt spray', quantity0: '20 mL' }, 'write')).status,
  ).toBe(303);
  const test = { name: 'Belt edge', passes: 'no frayed edge', stopUse: 'true' };
  expect((await pages.send(`${at('fan-belt')}/add/test`, test, 'write')).status).toBe(303);
  expect(
    (await pages.send(`${at('fan-belt')}/add/setTo`, { name: 'Belt edge', value: '22 N m' }, 'write')).status,
  ).toBe(303);
  expect(taskOf('fan-belt')).toMatchObject({
    parts: [{ name: 'fan belt', number: '0098', quantity: 1, leadDays: 4 }],
    fluids: [{ name: 'belt spray', quantity: '20 mL' }],
    measure: [
      { id: 'fan-belt-deflection' },
      { id: 'belt-edge', specification: { kind: 'test', passes: 'no frayed edge', stopUse: true } },
      { id: 'belt-edge-2', specification: { kind: 'setTo', value: '22 N m' } },
    ],
  });
  const twice = await pages.send(`${at('fan-belt')}/add/part`, { name: 'Fan belt' }, 'write');
  expect([twice.status, twice.text.includes('has one of this name already')]).toEqual([400, true]);
  expect((await fetch(`${pages.url}${at('fan-belt')}/add/lookup`)).status).toBe(404);
  const checked = await commandsOn(pages.dir)('check');
  expect(checked.status, JSON.stringify(checked)).toBe(0);
});

test('what the form does not know stays in the file as it was', async () => {
  const own = `tasks:
  engine-oil:
    # the manual, page 41
    steps: [{ do: Let it drain }]   # ours
    ifOut: { minutes: 5, steps: [{ do: Look again }] }
    parts:
      - { name: Engine oil filter, leadDays: 12 }   # by post
    leadsTo: [{ task: fan-belt, at: end }]
`;
  writeFileSync(join(pages.dir, file), `${pages.read(file)}${own}`);
  await pages.send(at('engine-oil'), { everyHours: '140', number0: 'F-1', minutes: '50' }, 'write');
  expect(pages.read(file)).toContain(
    own.replace('leadDays: 12 }   # by post', 'leadDays: 12, number: F-1 }   # by post').trimEnd(),
  );
  expect(taskOf('engine-oil')).toMatchObject({ minutes: 50, every: { hours: 140 }, leadsTo: [{ task: 'fan-belt' }] });
});

test('what was refused names its field, leads to it, and keeps what was typed', async () => {
  const before = pages.read(file);
  const refused = await pages.send(
    at('fan-belt'),
    { everyHours: 'often', 'limit0-min': '20 mm', 'limit0-max': '14 mm', minutes: '9' },
    'write',
  );
  expect(refused.status).toBe(400);
  expect(refused.text).toContain('<a href="#at-everyHours">Every so many hours</a>');
  expect(refused.text).toMatch(
    /name="everyHours"[^>]* value="often"[^>]* aria-describedby="[^"]*at-everyHours-wrong"[^>]* aria-invalid="true"/,
  );
  expect(refused.text).toMatch(/name="minutes"[^>]* value="9"/);
  const upside = await pages.send(at('fan-belt'), { 'limit0-min': '20 mm' }, 'write');
  expect(upside.text).toContain('<a href="#at-limit0-min">Deflection of the fan belt, at least</a>');
  const unit = await pages.send(at('engine-oil'), { quantity0: '4 bar' }, 'write');
  expect(unit.text).toContain('<a href="#at-quantity0">Engine oil, how much</a>');
  const empty = await pages.send(`${at('fan-belt')}/add/setTo`, { name: 'Guard bolts', value: '' }, 'write');
  expect(empty.text).toContain('<a href="#at-value">Set it to</a>');
  expect(pages.read(file)).toBe(before);
});

test('a name that is missing, a person’s way and a day that is none lead to their fields too', async () => {
  const named = await pages.send('/set-up/household', { name: '' }, 'write');
  expect(named.text).toContain('<a href="#at-name">Name of the household</a>');
  const zone = await pages.send('/set-up/household', { timezone: 'Nowhere', evening: '25:00' }, 'write');
  expect(zone.text).toContain('<a href="#at-timezone">Time zone</a>');
  expect(zone.text).toContain('<a href="#at-evening">Messages about tomorrow come at</a>');
  const way = await pages.send('/set-up/people/0', { mail: '', 'by-mail': ['work'] }, 'write');
  expect(way.text).toContain('<a href="#at-by-mail">By mail come</a>');
  const fresh = await pages.send('/set-up/people/new', { id: 'Bo B', name: 'Bo' }, 'write');
  expect(fresh.text).toContain('<a href="#at-id">Short name for the file</a>');
  const user = await pages.send('/set-up/mail', {
    host: 'smtp.example.org',
    from: 'a@example.org',
    user: '',
    password: 'x y',
  });
  expect(user.text).toContain('<a href="#at-user">User name there</a>');
  const password = await pages.send('/set-up/mail', { host: 'smtp.example.org', from: 'a@example.org', user: 'ann' });
  expect(password.text).toContain('<a href="#at-user">User name there</a>');
});

test('a job is retired on the page and taken up again there', async () => {
  await pages.send(at('lights'), { never: 'it never leaves the yard' }, 'write');
  expect(taskOf('lights')).toBeUndefined();
  expect(await pages.get('/set-up/machines/hill-tractor')).toMatch(/tasks\/lights"[\s\S]*?retired/);
  await pages.send(at('lights'), { never: '' }, 'write');
  expect(taskOf('lights')).toBeDefined();
});
