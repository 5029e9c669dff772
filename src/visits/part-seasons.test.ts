import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, someFacts } from '../../tests/stage/visit-scene.js';
import { planVisits } from './plan-visits.js';

test('laying up and its way back never share a visit, however late both are', () => {
  const tasks = [aTask('wash'), storage('lay-up', 'first-frost'), storage('way-back', 'last-frost')];
  const dues = [
    aDue('wash', -20),
    aDue('lay-up', -180, { limit: 'season', intervalDays: 60 }),
    aDue('way-back', -15, { limit: 'season', intervalDays: 60 }),
  ];
  const visits = planVisits(aMachine(tasks), someFacts(), dues, aHousehold(), at(0));
  expect(visits.map((visit) => visit.tasks).sort()).toEqual([['lay-up'], ['wash', 'way-back']]);
});

test('work of the same season is done together', () => {
  const tasks = [storage('coolant', 'first-frost'), storage('lay-up', 'first-frost')];
  const dues = [
    aDue('coolant', 37, { limit: 'season', intervalDays: 60 }),
    aDue('lay-up', 38, { limit: 'season', intervalDays: 60 }),
  ];
  expect(planVisits(aMachine(tasks), someFacts(), dues, aHousehold(), at(0))).toHaveLength(1);
});

function storage(id: string, before: 'first-frost' | 'last-frost') {
  const { every: _, ...task } = aTask(id);
  return { ...task, season: { before, days: 10 } };
}
