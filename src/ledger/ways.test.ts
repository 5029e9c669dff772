import { expect, test } from 'vitest';
import { stagedHome } from '../../tests/stage/ledger-books.js';
import type { Household, Person } from '../domain/household.js';
import { mailIll } from '../domain/ill.js';
import { waysOf } from './ways.js';

const smtp = { host: 'mail.example.org', port: 25, security: 'plain', from: 'shed@example.org' } as const;
const mqtt = { url: 'mqtt://localhost:1883', protocol: '5' } as const;
const work = [{ kind: 'work', tasks: [] }] as const;
const device = { hasDevice: true, noMail: false };
const none = { hasDevice: false, noMail: false };
const parts = [{ kind: 'parts', tasks: [] }] as const;

function household(person: Partial<Person>, more: Partial<Household> = {}): Household {
  const people = [{ id: 'ann', name: 'Ann', mail: 'ann@example.org', ...person }];
  return { ...stagedHome.household, smtp, mqtt, people, ...more };
}

test('without a word, mail and every device that asked; a file where there is neither', () => {
  expect(waysOf(household({}), 'ann', work, device)).toEqual(['mail', 'push']);
  expect(waysOf(household({}), 'ann', work, none)).toEqual(['mail']);
  const { mail: _mail, ...noMail } = { mail: '', id: 'ann', name: 'Ann' };
  expect(waysOf({ ...household({}), people: [noMail] }, 'ann', work, device)).toEqual(['push']);
  expect(waysOf({ ...household({}), people: [noMail] }, 'ann', work, none)).toEqual(['file']);
});

test('each kind comes by the ways that name it', () => {
  const home = household({ ways: { mail: ['parts'], push: ['work'], topic: ['work', 'parts'] } });
  expect(waysOf(home, 'ann', work, device)).toEqual(['push', 'topic']);
  expect(waysOf(home, 'ann', parts, device)).toEqual(['mail', 'topic']);
  expect(waysOf(home, 'ann', [...work, ...parts], device)).toEqual(['mail', 'push', 'topic']);
});

test('a way that cannot be at present is made up for, so that nothing is lost', () => {
  const home = household({ ways: { push: ['work'] } });
  expect(waysOf(home, 'ann', work, none)).toEqual(['mail']);
  expect(waysOf(home, 'ann', parts, device)).toEqual(['mail']);
  expect(waysOf(home, 'somebody-else', work, none)).toEqual(['file']);
});

test('without a mail server, what should come by mail and on the broker is kept as a file too, since the broker takes no link', () => {
  const { smtp: _smtp, ...home } = household({ ways: { mail: ['work'], topic: ['work', 'parts'] } });
  expect(waysOf(home, 'ann', work, none)).toEqual(['file', 'topic']);
  expect(waysOf(home, 'ann', work, device)).toEqual(['push', 'topic']);
  expect(waysOf(home, 'ann', parts, none)).toEqual(['topic']);
  expect(waysOf(home, 'ann', work, { hasDevice: false, noMail: true })).toEqual(['topic']);
});

test('word that mail is refused does not go by mail', () => {
  const trouble = [{ kind: 'trouble', tasks: [mailIll] }] as const;
  expect(waysOf(household({}), 'ann', trouble, device)).toEqual(['push']);
  expect(waysOf(household({}), 'ann', trouble, none)).toEqual(['file']);
});

test('word that mail is refused comes on a device also where only mail was named for it', () => {
  const trouble = [{ kind: 'trouble', tasks: [mailIll] }] as const;
  const home = household({ ways: { mail: ['trouble', 'work'], push: ['late'] } });
  expect(waysOf(home, 'ann', trouble, device)).toEqual(['push']);
  expect(waysOf(home, 'ann', trouble, none)).toEqual(['file']);
});

test('whoever asked for no more mail is told by their other ways, else by a file that the household sees', () => {
  expect(waysOf(household({}), 'ann', work, { hasDevice: true, noMail: true })).toEqual(['push']);
  expect(waysOf(household({}), 'ann', work, { hasDevice: false, noMail: true })).toEqual(['file']);
  const home = household({ ways: { mail: ['work'], topic: ['work'] } });
  expect(waysOf(home, 'ann', work, { hasDevice: false, noMail: true })).toEqual(['topic']);
});
