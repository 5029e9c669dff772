import { expect, test } from 'vitest';
import { aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import type { Fluid } from '../domain/task.js';
import { chooseGrade, listShopping } from './shopping.js';

const oil: Fluid = {
  name: 'engine oil',
  quantity: '4.2 L',
  choices: [
    { grade: '5W-40', coldest: '-25 C' },
    { grade: '15W-40', coldest: '-15 C' },
    { grade: '20W-50', coldest: '0 C' },
  ],
  leadDays: 2,
};
const change = aTask('oil', { fluids: [oil], parts: [{ name: 'oil filter', quantity: 1, number: '', leadDays: 7 }] });
const household = { coldestCelsius: -12 };

test('the same fluid for two tasks is one item, its litres added up', () => {
  const rinse = aTask('rinse', { fluids: [{ ...oil, quantity: '1.1 L' }] });
  const [item] = listShopping([change, rinse], someFacts(), household).filter((i) => i.kind === 'fluid');
  expect(item).toMatchObject({ quantity: 5.3, toBuy: 5.3, unit: 'L', tasks: ['oil', 'rinse'], leadDays: 2 });
});

test('quarts become litres', () => {
  // NIST SP 811 (2008) App. B.8: 1 US liquid quart = 0.946 352 9 L.
  const task = aTask('t', { fluids: [{ name: 'gear oil', quantity: '2 qt' }] });
  expect(listShopping([task], someFacts(), household)[0]?.quantity).toBeCloseTo(1.892706, 5);
});

test('parts with different numbers are different things', () => {
  const a = aTask('a', { parts: [{ name: 'belt', quantity: 1, number: 'A-1' }] });
  const b = aTask('b', { parts: [{ name: 'belt', quantity: 1, number: 'B-2' }] });
  expect(listShopping([a, b], someFacts(), household).map((i) => i.specification)).toEqual(['A-1', 'B-2']);
});

test('stock lessens what is to buy, and is used once only', () => {
  const a = aTask('a', { parts: [{ name: 'Belt', quantity: 1, number: 'A-1' }] });
  const b = aTask('b', { parts: [{ name: 'belt', quantity: 1, number: 'B-2' }] });
  const items = listShopping([a, b], someFacts({ stock: { belt: 1 } }), household);
  expect(items.map((i) => i.toBuy)).toEqual([0, 1]);
});

test('litres in stock count against litres needed', () => {
  const [item] = listShopping([change], someFacts({ stock: { 'engine oil': 3 } }), household).filter(
    (i) => i.kind === 'fluid',
  );
  expect(item).toMatchObject({ quantity: 4.2, inStock: 3, toBuy: 1.2 });
});

test('"have it" covers a task until it is done, and no longer', () => {
  const have = { kind: 'have-parts', tasks: ['oil'], atMs: at(1) } as const;
  expect(listShopping([change], someFacts({ answers: [have] }), household).every((i) => i.toBuy === 0)).toBe(true);
  const record = {
    id: 'r1',
    machine: 'orchard-mower',
    visit: null,
    tasks: ['oil'],
    day: inDays(3),
    hours: null,
    hoursKnown: 'unknown',
    by: null,
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    enteredAtMs: at(3),
  } as const;
  const later = listShopping([change], someFacts({ answers: [have], records: [record] }), household);
  expect(later.every((i) => i.toBuy > 0)).toBe(true);
  const filter = { ...change, fluids: [], outcomes: ['cleaned', 'replaced'] };
  const toBuyAfter = (found: string) => {
    const outcome = { task: 'oil', measurement: 'outcome', place: null, found, left: null, verdict: null, note: null };
    const records = [{ ...record, findings: [outcome] }];
    return listShopping([filter], someFacts({ answers: [have], records }), household).map((i) => i.toBuy > 0);
  };
  expect(new Set(toBuyAfter('cleaned'))).toEqual(new Set([false]));
  expect(new Set(toBuyAfter('replaced'))).toEqual(new Set([true]));
});

test('a dealer brings what the dealer needs', () => {
  expect(listShopping([{ ...change, by: 'dealer' }], someFacts(), household)).toEqual([]);
});

test.each([
  [-12, '15W-40'],
  [-20, '5W-40'],
  [3, '20W-50'],
  [-40, '5W-40'],
  [undefined, '5W-40'],
])('with a coldest night of %s °C the grade is %s', (coldest, grade) => {
  expect(chooseGrade(oil, coldest)).toBe(grade);
});

test('a demanded fluid is never replaced by a choice', () => {
  expect(chooseGrade({ ...oil, must: 'the one on the filler cap' }, 3)).toBe('the one on the filler cap');
});

test('a fluid without grades has none', () => {
  expect(chooseGrade({ name: 'grease', quantity: '0.2 kg' }, -5)).toBeNull();
});
