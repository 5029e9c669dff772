import fc from 'fast-check';
import { expect, it } from 'vitest';
import { aTask, inDays } from '../../tests/stage/visit-scene.js';
import type { AnnouncedVisit, ServiceRecord } from './facts.js';
import { learnPace, minutesOfVisit } from './visit-minutes.js';

const tasks = [aTask('oil', { minutes: 40 }), aTask('blades', { minutes: 40 }), aTask('valves', { by: 'dealer' })];
const both = ['oil', 'blades'];
/** A visit for both took so many minutes; 100 are planned for it, 20 of them to set up. */
const took = (minutes: number | null, on: number, more: Partial<ServiceRecord> = {}): ServiceRecord => ({
  id: `record-${on}`,
  machine: 'mower',
  visit: null,
  tasks: both,
  day: inDays(on),
  hours: null,
  hoursKnown: 'unknown',
  by: null,
  door: 'page',
  note: null,
  minutes,
  findings: [],
  enteredAtMs: on,
  ...more,
});
const minutes = (records: readonly ServiceRecord[], visits: readonly AnnouncedVisit[] = []) =>
  minutesOfVisit(both, tasks, 'owner', 20, { records, visits });

it('what three whole visits took is expected of the next; fewer change nothing', () => {
  expect(minutes([])).toBe(100);
  expect(minutes([took(150, 1), took(150, 2)])).toBe(100);
  expect(minutes([took(150, 1), took(150, 2), took(140, 3)])).toBe(150);
  expect(minutes([took(150, 1), took(null, 2), took(140, 3)])).toBe(100);
});

it('one afternoon that went wrong changes nothing, and hands that got quicker are believed after three visits', () => {
  expect(minutes([took(120, 1), took(900, 2), took(120, 3)])).toBe(120);
  const slow = [1, 2, 3, 4].map((on) => took(180, on));
  expect(minutes([...slow, took(90, 5), took(90, 6), took(90, 7)])).toBe(90);
  expect(minutes([took(90, 7), took(90, 5), ...slow, took(90, 6)])).toBe(90);
});

it('an even number of visits has its median between the middle two', () => {
  expect(minutes([took(100, 1), took(120, 2), took(140, 3), took(900, 4)])).toBe(130);
});

it('part of a visit, old papers, what was left to be mended and the dealer teach nothing', () => {
  const [, second, third] = [took(150, 1), took(150, 2), took(150, 3)];
  const wholeOr = (more: Partial<ServiceRecord>, visits: readonly AnnouncedVisit[] = []) =>
    minutes([took(150, 1, more), second ?? took(150, 2), third ?? took(150, 3)], visits);
  const visit: AnnouncedVisit = {
    id: 'visit-1',
    tasks: both,
    day: inDays(1),
    revision: 1,
    announcedAtMs: 0,
    state: 'open',
  };
  expect(wholeOr({ visit: 'visit-1' }, [visit])).toBe(150);
  expect(wholeOr({ visit: 'visit-1', tasks: ['oil'] }, [visit])).toBe(100);
  expect(wholeOr({ door: 'import' })).toBe(100);
  expect(wholeOr({ tasks: ['valves'] })).toBe(100);
  expect(wholeOr({ tasks: ['a task of an older plan'] })).toBe(100);
  const left = { task: 'oil', measurement: 'level', place: null, found: 'low', left: null, verdict: null, note: null };
  expect(wholeOr({ tasks: ['blades'], findings: [left] })).toBe(100);
  expect(
    minutesOfVisit(['valves'], tasks, 'dealer', 20, { records: [1, 2, 3].map((on) => took(200, on)), visits: [] }),
  ).toBe(30);
});

it('whatever was told, the pace stays between half and double, in whole minutes', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 10_000, noNaN: true }), { maxLength: 12 }), (told) => {
      const records = told.map((one, on) => took(one, on));
      const pace = learnPace(tasks, 20, { records, visits: [] });
      expect(pace).toBeGreaterThanOrEqual(0.5);
      expect(pace).toBeLessThanOrEqual(2);
      expect(Number.isInteger(minutes(records))).toBe(true);
    }),
  );
});
