import { expect, test } from 'vitest';
import { today, tractor, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import { sayVisitChange } from './change.js';

const before = { saidOn: parseDay('2031-03-08'), tasks: ['engine-oil', 'fan-belt'], day: parseDay('2031-03-15') };

test('a link that is still true says nothing of changes', () => {
  expect(sayVisitChange({ ...before, tasks: visit.tasks, day: visit.day }, visit, tractor, today, 'en-GB')).toEqual([]);
});

test('an old link says where the day went, what came and what left', () => {
  expect(
    sayVisitChange(
      before,
      { tasks: ['engine-oil', 'loader-pins', 'coolant'], day: visit.day },
      tractor,
      today,
      'en-GB',
    ),
  ).toEqual([
    'Since the letter of Saturday 8 March the proposed day moved from Saturday 15 March to Saturday 22 March.',
    'New on it: grease the loader pins and test the coolant.',
    'No longer on it: check the fan belt.',
  ]);
});
