import { expect, it } from 'vitest';
import { aTask } from '../../tests/stage/visit-scene.js';
import { sayUsedUp } from '../words/used-up.js';
import { usedUpBy } from './used-up.js';

const tasks = [
  aTask('oil', {
    parts: [{ name: 'oil filter', quantity: 1, number: '12-34' }],
    fluids: [{ name: 'engine oil', quantity: '1.4 L', must: 'API CK-4' }],
  }),
  aTask('rinse', {
    parts: [{ name: 'oil filter', quantity: 1 }],
    fluids: [{ name: 'engine oil', quantity: '0.5 L' }],
  }),
  aTask('plug', { parts: [{ name: 'spark plug', quantity: 2 }] }),
];

it('what work uses up is that of its tasks: parts of one name added up, fluids side by side', () => {
  const used = usedUpBy({ tasks: ['rinse', 'oil', 'gone'] }, { tasks });
  expect(used).toEqual([
    { name: 'oil filter', amount: '2', number: '12-34', must: null },
    { name: 'engine oil', amount: '1.4 L + 0.5 L', number: null, must: 'API CK-4' },
  ]);
  expect(sayUsedUp(used)).toBe('oil filter, 2 (no. 12-34); engine oil, 1.4 L + 0.5 L (has to meet API CK-4)');
  expect(sayUsedUp(usedUpBy({ tasks: ['gone'] }, { tasks }))).toBe('');
});

it('an element that was cleaned and went back in was not used up, a replaced one was, and so was one of which nobody told', () => {
  const outcomes = ['looked at and fine', 'cleaned', 'replaced'];
  const filter = aTask('filter', { outcomes, parts: [{ name: 'air filter', quantity: 1 }] });
  const finding = { task: 'filter', measurement: 'outcome', place: null, left: null, verdict: null, note: null };
  const after = (found: string) =>
    usedUpBy({ tasks: ['filter'], findings: [{ ...finding, found }] }, { tasks: [filter] }).map(({ name }) => name);
  expect(after('cleaned')).toEqual([]);
  expect(after('looked at and fine')).toEqual([]);
  expect(after('replaced')).toEqual(['air filter']);
  expect(usedUpBy({ tasks: ['filter'] }, { tasks: [filter] })).toHaveLength(1);
});
