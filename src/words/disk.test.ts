import { expect, test } from 'vitest';
import { parseDay } from '../domain/day.js';
import { type DiskRefusal, sayDiskRefusal, writeRefusalLetter } from './disk.js';
import { sayStillElsewhere } from './still.js';

const today = parseDay('2031-03-21');
const refusal: DiskRefusal = {
  kind: 'full',
  folder: '/srv/shed/data',
  found: '312 KiB free',
  copy: { file: '/media/stick/shedbell-2031-03-20.sqlite', day: parseDay('2031-03-20') },
  user: 998,
  wantsMiB: 8,
};
const say = (over: Partial<DiskRefusal>) => sayDiskRefusal({ ...refusal, ...over }, today, 'en-GB');

test('a full disk wants room, and says how much', () => {
  const said = say({});
  expect(said.lead).toContain(
    'no reading and no confirmation is taken, and no reminder goes out, until there is room again',
  );
  expect(said.before.join(' ')).toContain('312 KiB free.');
  expect(said.before.join(' ')).toContain('at least 8 MiB');
  expect(said.command).toBeNull();
});

test('a disk that may wear out names the newest backup first', () => {
  for (const kind of ['read-only', 'refuses'] as const) {
    const said = say({ kind }).before.join(' ');
    expect(said).toContain('Copy the newest backup elsewhere first: /media/stick/shedbell-2031-03-20.sqlite, made on');
    expect(say({ kind, copy: null }).before.join(' ')).toContain('No backup that is whole was found.');
  }
});

test('data that another user left are given back with one command', () => {
  expect(say({ kind: 'not-allowed' }).command).toBe('chown -R 998 /srv/shed/data');
  expect(say({ kind: 'not-allowed', user: null }).command).toBeNull();
});

test('the letter says the same, and who reads the page elsewhere hears of no path', () => {
  const said = say({ kind: 'not-allowed' });
  const letter = writeRefusalLetter(said, 'Weir Cottage');
  expect(letter.subject).toBe('Weir Cottage: the service stands still');
  expect(letter.blocks).toContainEqual({ kind: 'typed', text: said.command });
  expect(JSON.stringify(sayStillElsewhere(said))).not.toMatch(/\/srv|\/media/);
  // Where this computer itself is asked for the password, the page says no more there.
  expect(sayStillElsewhere(said, true).before[0]).toContain('on this page when it is opened on the computer');
  expect(sayStillElsewhere(said, false).before[0]).not.toContain('on this page');
});
