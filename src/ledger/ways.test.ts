import { expect, test } from 'vitest';
import { stagedHome } from '../../tests/stage/ledger-books.js';
import type { Household, Person } from '../domain/household.js';
import { mailIll } from '../domain/ill.js';
import { waysOf } from './ways.js';

const smtp = { host: 'mail.example.org', port: 25, security: 'plain', from: 'shed@example.org' } as const;
const mqtt = { url: 'mqtt://localhost:1883', protocol: '5' } as const;
const work = [{ kind: 'work', tasks: [] }] as const;
const parts = [{ kind: 'parts', tasks: [] }] as const;

function household(person: Partial<Person>, more: Partial<Household> = {}): Household {
  const people = [{ id: 'ann', name: 'Ann', mail: 'ann@example.org', ...person }];
  return { ...stagedHome.household, smtp, mqtt, people, ...more };
}

test('without a word, mail and every device that asked; a file where there is neither', () => {
  expect(waysOf(household({}), 'ann', work, true)).toEqual(['mail', 'push']);
  expect(waysOf(household({}), 'ann', work, false)).toEqual(['mail']);
  const { mail: _mail, ...noMail } = { mail: '', id: 'ann', name: 'Ann' };
  expect(waysOf({ ...household({}), people: [noMail] }, 'ann', work, true)).toEqual(['push']);
  expect(waysOf({ ...household({}), people: [noMail] }, 'ann', work, false)).toEqual(['file']);
});

test('each kind comes by the ways that name it', () => {
  const home = household({ ways: { mail: ['parts'], push: ['work'], topic: ['work', 'parts'] } });
  expect(waysOf(home, 'ann', work, true)).toEqual(['push', 'topic']);
  expect(waysOf(home, 'ann', parts, true)).toEqual(['mail', 'topic']);
  expect(waysOf(home, 'ann', [...work, ...parts], true)).toEqual(['mail', 'push', 'topic']);
});

test('a way that cannot be at present is made up for, so that nothing is lost', () => {
  const home = household({ ways: { push: ['work'] } });
  expect(waysOf(home, 'ann', work, false)).toEqual(['mail']);
  expect(waysOf(home, 'ann', parts, true)).toEqual(['mail']);
  expect(waysOf(home, 'somebody-else', work, false)).toEqual(['file']);
});

test('word that mail is refused does not go by mail', () => {
  const trouble = [{ kind: 'trouble', tasks: [mailIll] }] as const;
  expect(waysOf(household({}), 'ann', trouble, true)).toEqual(['push']);
  expect(waysOf(household({}), 'ann', trouble, false)).toEqual(['file']);
});
