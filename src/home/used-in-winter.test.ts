import { expect, test } from 'vitest';
import { someTask } from '../../tests/stage/small-machine.js';
import { turnForWinter } from './used-in-winter.js';

const saw = [
  someTask('into', { season: { before: 'first-frost', days: 10 }, leadsTo: [{ task: 'back', at: 'return' }] }),
  someTask('back', { season: { before: 'last-frost', days: 18 } }),
  someTask('coolant', { season: { before: 'first-frost', days: 30 } }),
];
const seasons = (tasks: readonly (typeof saw)[number][]) => tasks.map(({ season }) => season?.before);

test('a machine used in winter is laid up before the last frost and back before the first', () => {
  const turned = turnForWinter(saw, 'winter', new Set());
  expect(seasons(turned)).toEqual(['last-frost', 'first-frost', 'first-frost']);
  expect(turned.map(({ season }) => season?.days)).toEqual([10, 18, 30]);
});

test('every other machine keeps the seasons of its plan', () => {
  for (const word of ['summer', 'even', 'spring-autumn', 'unknown'] as const) {
    expect(turnForWinter(saw, word, new Set())).toEqual(saw);
  }
});

test('a plan that lays up in spring already, and a season that the owner chose, stay as they are', () => {
  const generator = [
    someTask('into', { season: { before: 'last-frost', days: 5 }, leadsTo: [{ task: 'back', at: 'return' }] }),
    someTask('back', { season: { before: 'first-frost', days: 25 } }),
  ];
  expect(turnForWinter(generator, 'winter', new Set())).toEqual(generator);
  expect(seasons(turnForWinter(saw, 'winter', new Set(['back'])))).toEqual(['last-frost', 'last-frost', 'first-frost']);
});
