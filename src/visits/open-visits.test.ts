import { expect, it } from 'vitest';
import { aDue, aHousehold, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import type { Answer, MachineFacts, ServiceRecord } from '../domain/facts.js';
import { findOpenVisits } from './open-visits.js';

const { zone } = aHousehold();
const announcedAtMs = at(-1);
const visits: MachineFacts['visits'] = [
  { id: 'visit-1', tasks: ['oil', 'blades'], day: inDays(5), revision: 1, announcedAtMs, state: 'open' },
];
const record = (more: Partial<ServiceRecord>): ServiceRecord => ({
  id: 'record-1',
  machine: 'mower',
  visit: null,
  tasks: ['oil'],
  day: inDays(-1),
  hours: null,
  hoursKnown: 'unknown',
  by: null,
  door: 'page',
  note: null,
  minutes: null,
  findings: [],
  enteredAtMs: announcedAtMs,
  ...more,
});
const waiting = (facts: Partial<MachineFacts>, dues = [aDue('oil', 5), aDue('blades', 5)]) =>
  findOpenVisits(someFacts({ visits, ...facts }), dues, zone).map((open) => open.tasks);
const both = [['oil', 'blades']];

it('work or a “leave it out” of the very moment of the announcement settles a task, what was before does not', () => {
  const leaveOut = (atMs: number): Answer => ({
    kind: 'leave-out',
    tasks: ['oil'],
    day: inDays(-1),
    hours: null,
    atMs,
  });
  expect(waiting({})).toEqual(both);
  expect(waiting({ records: [record({})] })).toEqual([['blades']]);
  expect(waiting({ records: [record({ enteredAtMs: announcedAtMs - 1 })] })).toEqual(both);
  expect(waiting({ answers: [leaveOut(announcedAtMs)] })).toEqual([['blades']]);
  expect(waiting({ answers: [leaveOut(announcedAtMs - 1)] })).toEqual(both);
});

it('old papers that come in later leave a visit open, papers of later work and work that counts as its own do not', () => {
  const paper = (day: number) => record({ door: 'import', day: inDays(day), enteredAtMs: at(0) });
  expect(waiting({ records: [paper(-400)] })).toEqual(both);
  expect(waiting({ records: [paper(0)] })).toEqual([['blades']]);
  expect(waiting({}, [aDue('oil', 5, { lastDay: inDays(0) }), aDue('blades', 5)])).toEqual([['blades']]);
});
