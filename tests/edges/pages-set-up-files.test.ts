import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { fieldsOf, openSetUpPages, plain, type SetUpPages } from '../stage/set-up-pages.js';

let pages: SetUpPages;
beforeEach(async () => {
  pages = await openSetUpPages();
});
afterEach(async () => {
  vi.unstubAllEnvs();
  await pages.close();
});

const file = 'machines/hill-tractor.yaml';
const path = '/set-up/machines/hill-tractor';
const write = (text: string) => writeFileSync(join(pages.dir, file), text);

/** Sends fields as they are, without opening the page again. */
async function post(to: string, fields: readonly (readonly [string, string])[]) {
  const body = new URLSearchParams(fields.map(([name, value]) => [name, value]));
  const answer = await fetch(`${pages.url}${to}`, {
    method: 'POST',
    body,
    headers: { origin: pages.url },
    redirect: 'manual',
  });
  return { status: answer.status, text: plain(await answer.text()), location: answer.headers.get('location') };
}

test('a file from another system keeps the ends of its lines and the mark before its first', async () => {
  const before = `\ufeff${pages.read(file).replaceAll('\n', '\r\n')}`;
  write(before);
  const shown = await pages.send(path, { name: 'Bank tractor', hoursPerYear: '60', has: ['loader'] });
  expect(shown.text).toContain('+ name: Bank tractor');
  expect((await pages.send(path, { name: 'Bank tractor', hoursPerYear: '60' }, 'write')).status).toBe(303);
  const after = pages.read(file);
  expect(after).toMatch(/^\ufeff/);
  expect(after.replaceAll('\r\n', '')).not.toContain('\n');
  expect(after).toBe(
    before
      .replace('name: Hill tractor', 'name: Bank tractor')
      .replace(/( {2}season: unknown[^\r]*\r\n)/, '$1  hoursPerYear: 60\r\n'),
  );
});

test('a value that others name with * is not taken away from them: the form says so instead of breaking', async () => {
  const before = `${pages.read(file)}tasks:\n  engine-oil:\n    minutes: &long 45\n  fan-belt:\n    minutes: *long\n`;
  write(before);
  const refused = await pages.send(`${path}/tasks/engine-oil`, { minutes: '50' }, 'write');
  expect(refused.status).toBe(400);
  expect(refused.text).toContain('written in a way that the page cannot change');
  expect(pages.read(file)).toBe(before);
  // The one that only names it is free to say something else.
  expect((await pages.send(`${path}/tasks/fan-belt`, { minutes: '50' }, 'write')).status).toBe(303);
  expect(pages.read(file)).toBe(before.replace('*long', '50'));
});

test('a button tapped twice writes once, and both taps lead to the same page', async () => {
  const add = `${path}/tasks/fan-belt/add/part`;
  const part: [string, string][] = [
    ...fieldsOf(await pages.get(add)).filter(([name]) => name !== 'name'),
    ['name', 'fan belt'],
    ['step', 'write'],
  ];
  const [first, second] = [await post(add, part), await post(add, part)];
  expect([first.status, second.status]).toEqual([303, 303]);
  expect(second.location).toBe(first.location);
  expect(pages.read(file).match(/fan belt/g)).toHaveLength(1);
  const choose = await fetch(`${pages.url}/set-up/new-machine?name=Reed+mower&plan=library:ride-on-petrol-mower`, {
    redirect: 'manual',
  });
  const at = choose.headers.get('location') ?? '';
  const machine: [string, string][] = [...fieldsOf(await pages.get(at)), ['step', 'write']];
  const to = at.split('?')[0] ?? '';
  expect([(await post(to, machine)).location, (await post(to, machine)).location]).toEqual([
    '/machines/reed-mower',
    '/machines/reed-mower',
  ]);
  // Another machine of that name, from a form of its own, is still refused.
  const again: [string, string][] = [...fieldsOf(await pages.get(at)), ['step', 'write']];
  expect((await post(to, again)).status).toBe(400);
});

test('a form that was made from an older file undoes nothing, however often it is sent', async () => {
  const fields = fieldsOf(await pages.get(path));
  // Another device names the machine anew.
  expect((await pages.send(path, { name: 'Bank tractor' }, 'write')).status).toBe(303);
  const mine = fields.map(([name, value]): [string, string] => [name, name === 'hoursPerYear' ? '60' : value]);
  const refused = await post(path, mine);
  expect(refused.status).toBe(400);
  expect(refused.text).toContain(`<a class="way" href="${path}">Open it as the file is now</a>`);
  // It is about the file, and about no field that happens to be missing.
  const bare = await post(
    path,
    mine.filter(([name]) => name !== 'name'),
  );
  expect(bare.text).toContain('This file was changed meanwhile');
  expect(bare.text).not.toContain('<a href="#at-');
  const again = await post(path, [...fieldsOf(refused.text), ['step', 'write']]);
  expect(again.status).toBe(400);
  expect(pages.read(file)).toContain('name: Bank tractor');
});

test('values that change places are shown and written', async () => {
  write(
    `${pages.read(file)}tasks:\n  engine-oil:\n    parts:\n      - name: engine oil filter\n        number: A-1\n      - name: drain plug washer\n        number: B-2\n`,
  );
  const swap = { number0: 'B-2', number1: 'A-1' };
  const shown = await pages.send(`${path}/tasks/engine-oil`, swap);
  expect(shown.text).not.toContain('Nothing differs');
  expect(shown.text).toMatch(/\+ +number: A-1/);
  expect((await pages.send(`${path}/tasks/engine-oil`, swap, 'write')).status).toBe(303);
  expect(pages.read(file)).toMatch(/filter\n +number: B-2\n[^\n]*washer\n +number: A-1\n/);
});

test('a number of four hundred digits is refused at its field, and doubled ticks count once', async () => {
  const refused = await pages.send(path, { hoursPerYear: '9'.repeat(400) }, 'write');
  expect(refused.status).toBe(400);
  expect(refused.text).toContain('<a href="#at-hoursPerYear">');
  expect((await pages.send('/set-up/household', { workingDays: ['fri', 'fri'] }, 'write')).status).toBe(303);
  expect(pages.home().household.workingDays).toEqual(['fri']);
});

test('without room for temporary files the form says so, and nothing is written', async () => {
  const before = pages.read(file);
  vi.stubEnv('TMPDIR', join(pages.dir, 'not-there'));
  const refused = await pages.send(path, { name: 'Bank tractor' }, 'write');
  expect(refused.status).toBe(400);
  expect(refused.text).toContain('The folder for temporary files cannot be written (ENOENT)');
  expect(pages.read(file)).toBe(before);
});

test('names that a program could stumble over make machines like any other', async () => {
  for (const name of ['Constructor', '__proto__', '../../household', 'null', 'Yes', '1e3', 'new', '- [x]: &y']) {
    const at = `/set-up/new-machine?name=${encodeURIComponent(name)}&plan=library:small-petrol-engine-tool`;
    const to = (await fetch(`${pages.url}${at}`, { redirect: 'manual' })).headers.get('location') ?? '';
    const written = await pages.send(to, {}, 'write');
    expect(written.status, name).toBe(303);
    const id = written.location?.replace('/machines/', '') ?? '';
    expect(pages.home().machines.find((machine) => machine.id === id)?.name).toBe(name);
    rmSync(join(pages.dir, `machines/${id}.yaml`));
  }
});
