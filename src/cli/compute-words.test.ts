import { expect, test } from 'vitest';
import { aGrouping, anOrder, answersTo, one } from '../../tests/stage/compute-lines.js';
import { groupingKind } from './compute-grouping.js';
import { inspectionKind } from './compute-inspection.js';
import { orderKind } from './compute-order.js';

// Each line has one thing wrong with it; what is said names the place and what would be right, in words of our own.
const toldOf = {
  order: (line: object) => one(orderKind, line),
  grouping: (line: object) => one(groupingKind, line),
  inspection: (line: object) => one(inspectionKind, line),
} as const;
test.each<[keyof typeof toldOf, object, string]>([
  [
    'order',
    anOrder({ tasks: [{ id: 'a', minutes: -1 }] }),
    'tasks.0.minutes: wants a number of at least 0, and has -1.',
  ],
  ['order', anOrder({ tasks: [{ id: 'a' }] }), 'tasks.0.minutes: is missing; it wants a number.'],
  ['order', anOrder({ tasks: [{ id: '', minutes: 1 }] }), 'tasks.0.id: wants a text that is not empty, and has "".'],
  ['order', anOrder({ tasks: 'a' }), 'tasks: wants a list, and has "a".'],
  ['order', anOrder({ tasks: null }), 'tasks: wants a list, and has null.'],
  [
    'order',
    anOrder({ tasks: [{ id: 'a', minutes: 1, needs: { engine: 'Cold' } }] }),
    'tasks.0.needs.engine: wants cold, warm, running, brief, off or any, and has "Cold".',
  ],
  ['order', anOrder({ start: 'cold' }), 'start: wants a map of keys, and has "cold".'],
  [
    'order',
    anOrder({ tasks: Array.from({ length: 501 }, (_, at) => ({ id: `t${at}`, minutes: 1 })) }),
    'tasks: wants a list of at most 500 entries, and has a list of 501 entries.',
  ],
  ['grouping', aGrouping({ days: [0.5, 2] }), 'days.0: wants a whole number, and has 0.5.'],
  ['grouping', aGrouping({ visitCost: '1' }), 'visitCost: wants a number, and has "1".'],
  [
    'grouping',
    aGrouping({ shared: [{ bundles: [], saves: 1 }] }),
    'shared.0.bundles: wants a list of at least 1 entry, and has a list of 0 entries.',
  ],
  [
    'inspection',
    { id: 'i', spec: { kind: 'range', min: '1 mm' }, found: '2 mm' },
    'spec.max: wants a quantity as text, such as "10 mm".',
  ],
  [
    'inspection',
    { id: 'i', spec: { kind: 'atLeast', min: 3 }, found: '2 mm' },
    'spec.min: wants a quantity as text, such as "10 mm".',
  ],
  [
    'inspection',
    { id: 'i', spec: { kind: 'test', longest: '0 s' }, found: '1 s' },
    'spec.longest: The longest time is more than 0. Write it such as 1 s.',
  ],
  [
    'inspection',
    { id: 'i', spec: { kind: 'atMost', max: '3 bar' }, found: '7 mm' },
    'found: mm measures length, but here a pressure is wanted (found "7 mm"). Use kPa, MPa, bar, psi.',
  ],
  [
    'inspection',
    { id: 'i', spec: { kind: 'atMost', max: '3 bar' }, found: '2 bar', resolution: '0 bar' },
    'resolution: The smallest step of an instrument is more than 0 (found "0 bar"). Write it such as 1 mm, or leave it out.',
  ],
])('a bad line is told of in our own words, with its place: %#', async (kind, line, error) => {
  expect(await toldOf[kind](line)).toMatchObject({ status: 1, error });
});

test('what is no case at all is said of the line', async () => {
  const { answers } = await answersTo(orderKind, '5', 'null', '[]', '"x"');
  expect(answers.map(({ error }) => error)).toEqual([
    'The line wants a map of keys, and has 5.',
    'The line wants a map of keys, and has null.',
    'The line wants a map of keys, and has a list of 0 entries.',
    'The line wants a map of keys, and has "x".',
  ]);
});
