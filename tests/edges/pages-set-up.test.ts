import { chmodSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { fieldsOf, openSetUpPages, plain, type SetUpPages } from '../stage/set-up-pages.js';

let pages: SetUpPages;
let dir: string;
let url: string;
beforeEach(async () => {
  pages = await openSetUpPages();
  ({ dir, url } = pages);
});
afterEach(() => pages.close());

const read = (file: string) => pages.read(file);
const home = () => pages.home();
const get = (path: string) => pages.get(path);
const send: SetUpPages['send'] = (path, changes, step) => pages.send(path, changes, step);

test('a machine is added without an editor: the page shows its file, then writes it, and it passes check', async () => {
  const choose = await fetch(`${url}/set-up/new-machine?name=Orchard+mower&plan=library:ride-on-petrol-mower`, {
    redirect: 'manual',
  });
  const path = choose.headers.get('location') ?? '';
  const answers = {
    has: ['deck', 'electric-start'],
    firstHours: '12,5',
    firstOn: '2027-04-11',
    hoursPerYear: '40',
    season: 'summer',
    last: '',
  };
  const look = await send(path, answers);
  expect(look.status).toBe(200);
  expect(look.text).toContain('machines/orchard-mower.yaml');
  expect(look.text).toContain('+ has: [deck, electric-start]');
  expect(() => read('machines/orchard-mower.yaml')).toThrow();
  const written = await send(path, answers, 'write');
  expect([written.status, written.location]).toEqual([303, '/machines/orchard-mower']);
  expect(read('machines/orchard-mower.yaml').split('\n').slice(1)).toEqual([
    'name: Orchard mower',
    'plan: library:ride-on-petrol-mower',
    'since: 2027-04-20',
    'has: [deck, electric-start]',
    'meter: { counts: clock, first: { hours: 12.5, on: 2027-04-11 } }',
    'expect: { hoursPerYear: 40, season: summer }',
    '',
  ]);
  const machine = home().machines.find((one) => one.id === 'orchard-mower');
  expect(machine).toMatchObject({ name: 'Orchard mower', has: ['deck', 'electric-start'], last: {} });
  // The same name once more is refused, and nothing is written over the first.
  expect((await send(path, answers, 'write')).status).toBe(400);
});

test('a changed value moves its own line only, and every remark of the file stays', async () => {
  const before = read('machines/hill-tractor.yaml');
  const path = '/set-up/machines/hill-tractor';
  expect((await send(path, {})).text).toContain('Nothing differs');
  await send(path, { name: 'Bank tractor', hoursPerYear: '60' }, 'write');
  const after = read('machines/hill-tractor.yaml');
  expect(after).toBe(
    before
      .replace('name: Hill tractor', 'name: Bank tractor')
      .replace(/( {2}season: unknown[^\n]*\n)/, '$1  hoursPerYear: 60\n'),
  );
  await send(
    '/set-up/machines/hill-tractor/tasks/engine-oil',
    { everyHours: '120', number0: 'F-77', quantity0: '5.1 L' },
    'write',
  );
  const task = home()
    .machines.find((one) => one.id === 'hill-tractor')
    ?.tasks.find((one) => one.id === 'engine-oil');
  expect(task?.every).toMatchObject({ hours: 120 });
  expect(task?.parts[0]?.number).toBe('F-77');
  expect(task?.fluids[0]?.quantity).toBe('5.1 L');
  await send('/set-up/machines/hill-tractor/tasks/engine-oil', { number0: 'F-78', everyMonths: '' }, 'write');
  const again = home()
    .machines.find((one) => one.id === 'hill-tractor')
    ?.tasks.find((one) => one.id === 'engine-oil');
  expect(again?.parts[0]?.number).toBe('F-78');
  expect(again?.every).toEqual({ hours: 120 });
  for (const line of before.split('\n').filter((text) => text.startsWith('#')))
    expect(read('machines/hill-tractor.yaml')).toContain(line);
});

test('people, days and the mail server are set up on the page; a password goes to a file of its own and is never shown', async () => {
  await send(
    '/set-up/people/new',
    { id: 'bo', name: 'Bo', mail: 'bo@example.org', kinds: ['late'], second: '14' },
    'write',
  );
  await send('/set-up/household', { workingDays: ['fri', 'sat'], evening: '19:00', currency: 'EUR' }, 'write');
  // The server is asked for before its password.
  const asked = await get('/set-up/mail');
  expect(asked.indexOf('name="host"')).toBeLessThan(asked.indexOf('type="password"'));
  const mail = { host: 'smtp.example.org', user: 'ann', from: 'ann@example.org' };
  const shown = await send('/set-up/mail', { ...mail, password: 'correct horse 1' });
  expect(shown.status).toBe(200);
  expect(shown.text).toContain('passwordFile: secrets/mail');
  expect(shown.text).not.toContain('correct horse');
  expect(statSync(join(dir, 'secrets/mail')).mode & 0o777).toBe(0o600);
  expect((await send('/set-up/mail', mail, 'write')).status).toBe(303);
  expect(home().household).toMatchObject({
    workingDays: ['fri', 'sat'],
    evening: '19:00',
    currency: 'EUR',
    smtp: { host: 'smtp.example.org', password: 'correct horse 1' },
  });
  expect(read('household.yaml')).toContain('passwordFile: secrets/mail');
  expect(home().household.people.map(({ id }) => id)).toEqual(['owner', 'bo']);
  expect(await get('/set-up/mail')).not.toContain('correct horse');
  await send('/set-up/people/1', { remove: 'yes' }, 'write');
  expect(home().household.people.map(({ id }) => id)).toEqual(['owner']);
});

test('which kinds come by which way is set on the person’s page, in the same map of the file, remarks kept', async () => {
  const file = join(dir, 'household.yaml');
  const mail =
    '    mail: ann@example.org\n    ways:   # since the new phone\n      # at work\n      mail:\n        - parts   # she buys\n        - season\n';
  writeFileSync(file, read('household.yaml').replace('    name: Owner\n', `    name: Owner\n${mail}`));
  const path = '/set-up/people/0';
  const shown = await send(path, { 'by-mail': ['parts', 'late'], 'by-push': ['work'] });
  expect(plain(shown.text)).toMatch(/\+ +- late\n.*\+ +push: \[work\]\n/s);
  expect((await send(path, { 'by-mail': ['parts', 'late'], 'by-push': ['work'] }, 'write')).status).toBe(303);
  expect(home().household.people[0]?.ways).toEqual({ mail: ['parts', 'late'], push: ['work'] });
  const written = read('household.yaml');
  for (const remark of ['# since the new phone', '# at work', '# she buys']) expect(written).toContain(remark);
  // All three empty again: everything by mail and on devices.
  expect((await send(path, { 'by-mail': [], 'by-push': [] }, 'write')).status).toBe(303);
  expect(home().household.people[0]?.ways).toBeUndefined();
  expect(read('household.yaml')).toContain('# at work');
  const bo = { id: 'bo', name: 'Bo', mail: 'bo@example.org', 'by-mail': ['late'], 'by-push': ['late', 'trouble'] };
  expect((await send('/set-up/people/new', bo, 'write')).status).toBe(303);
  expect(home().household.people[1]).toEqual({
    id: 'bo',
    name: 'Bo',
    mail: 'bo@example.org',
    ways: { mail: ['late'], push: ['late', 'trouble'] },
  });
});

test('a way that is not set up is refused with what would mend it, and nothing is written', async () => {
  const before = read('household.yaml');
  const byMail = await send('/set-up/people/0', { mail: '', 'by-mail': ['work'] }, 'write');
  expect(byMail.status).toBe(400);
  expect(plain(byMail.text)).toContain('this person has no mail address');
  expect(plain(byMail.text)).toContain('Set mail: with the address');
  const onBroker = await send('/set-up/people/0', { 'by-topic': ['work'] }, 'write');
  expect(onBroker.status).toBe(400);
  expect(plain(onBroker.text)).toContain('Set mqtt: with the url of the broker');
  // What was ticked is still ticked, for another try.
  expect(onBroker.text).toMatch(/name="by-topic" value="work" checked/);
  expect(read('household.yaml')).toBe(before);
});

test('what would be wrong is said as check says it, and nothing is written', async () => {
  const before = read('household.yaml');
  for (const changes of [
    { timezone: 'Europe/Nowhere' },
    { evening: '25:00' },
    { name: '' },
    { coldest: '7 psi' },
    { currency: 'crowns' },
    { address: 'javascript:alert(1)' },
  ]) {
    const { status, text } = await send('/set-up/household', changes, 'write');
    expect(status, JSON.stringify(changes)).toBe(400);
    expect(text).toContain('Not written.');
    expect(text).not.toContain(dir);
  }
  expect(read('household.yaml')).toBe(before);
  const tractor = read('machines/hill-tractor.yaml');
  expect((await send('/set-up/machines/hill-tractor/tasks/engine-oil', { everyHours: 'often' }, 'write')).status).toBe(
    400,
  );
  expect(read('machines/hill-tractor.yaml')).toBe(tractor);
  for (const path of [
    '/set-up/machines/none',
    '/set-up/machines/hill-tractor/tasks/none',
    '/set-up/people/7',
    '/set-up/new-machine/99?name=x',
  ])
    expect((await fetch(`${url}${path}`)).status, path).toBe(404);
});

test('first hours of a machine without an hour meter are said to be of no use, and not dropped in silence', async () => {
  const choose = await fetch(`${url}/set-up/new-machine?name=Ditch+cutter&plan=library:small-petrol-engine-tool`, {
    redirect: 'manual',
  });
  const path = choose.headers.get('location') ?? '';
  const refused = await send(path, { meter: 'none', firstHours: '55' }, 'write');
  expect(refused.status).toBe(400);
  expect(refused.text).toContain('A machine without an hour meter has nothing that it showed first');
  expect(refused.text).toMatch(/name="firstHours"[^>]* value="55"/);
  expect(() => read('machines/ditch-cutter.yaml')).toThrow();
  expect((await send(path, { meter: 'none', firstHours: '' }, 'write')).status).toBe(303);
  expect(read('machines/ditch-cutter.yaml')).toContain('meter: none');
});

test('hours that can be read in two ways are refused, and a file keeps its mode', async () => {
  chmodSync(join(dir, 'machines/hill-tractor.yaml'), 0o600);
  const two = await send('/set-up/machines/hill-tractor', { firstHours: '1,250' }, 'write');
  expect(two.status).toBe(400);
  expect((await send('/set-up/machines/hill-tractor', { firstHours: '384,2' }, 'write')).status).toBe(303);
  expect(read('machines/hill-tractor.yaml')).toContain('first: { hours: 384.2 }');
  expect(statSync(join(dir, 'machines/hill-tractor.yaml')).mode & 0o777).toBe(0o600);
});

test('a file that an editor changed meanwhile is not written over', async () => {
  const fields = fieldsOf(await get('/set-up/household'));
  const mine = read('household.yaml').replace('Our household', 'Larch End');
  writeFileSync(join(dir, 'household.yaml'), mine);
  const body = new URLSearchParams([
    ...fields.filter(([name]) => name !== 'name'),
    ['name', 'Other'],
    ['step', 'write'],
  ]);
  const answer = await fetch(`${url}/set-up/household`, { method: 'POST', body, headers: { origin: url } });
  expect(answer.status).toBe(400);
  expect(await answer.text()).toContain('changed meanwhile');
  expect(read('household.yaml')).toBe(mine);
});

test('the sheet to copy from the manual names every part whose number is missing', async () => {
  const text = await get('/set-up/machines/hill-tractor/copy');
  const parts =
    home()
      .machines.find((one) => one.id === 'hill-tractor')
      ?.tasks.flatMap((task) => task.parts) ?? [];
  expect(parts.length).toBeGreaterThan(3);
  for (const part of parts) expect(text).toContain(`${part.name}, its number`);
  expect(text).toContain('missing');
});

test('the sheet to copy shows the value that counts now, so that it can be held against the manual', async () => {
  const text = await get('/set-up/machines/hill-tractor/copy');
  expect(text).not.toContain('as in the plan');
  expect(text).toMatch(/<td>front wheel bolts, its limits<\/td><td>set to 90\u00a0N\u00a0m, crosswise<\/td>/i);
  // What is only looked at has no value that a manual could name.
  for (const { measure } of home().machines.find((one) => one.id === 'hill-tractor')?.tasks ?? [])
    for (const { name, specification } of measure)
      if (specification.kind === 'look' || specification.kind === 'test')
        expect(text).not.toContain(`<td>${name}, its limits`);
});
