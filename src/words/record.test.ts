import { expect, test } from 'vitest';
import { due, home, today, tractor } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { ServiceRecord } from '../domain/facts.js';
import { sayRecord, withHoursSaidNow } from './record.js';

const record: ServiceRecord = {
  id: 'r1',
  machine: tractor.id,
  visit: null,
  tasks: ['engine-oil', 'fan-belt'],
  day: parseDay('2031-03-22'),
  hours: 387.4,
  hoursKnown: 'read',
  by: 'marta',
  door: 'link',
  note: 'The plug was tight',
  minutes: 110,
  findings: [],
  enteredAtMs: 0,
};
const say = (more: Partial<ServiceRecord>) =>
  sayRecord({ ...record, ...more }, tractor, home.household.people, today, 'en-GB');

test('a record is one line: day, hours, tasks, person, time, their own words', () => {
  expect(say({})).toBe(
    'Saturday 22 March at 387.4 h: change engine oil and filter and check the fan belt. By Marta, 1 h 50. “The plug was tight”',
  );
});

test('estimated hours are about, unknown ones unsaid', () => {
  expect(say({ hoursKnown: 'estimated' })).toContain(' at about 387 h: ');
  expect(say({ hours: null, hoursKnown: 'unknown' })).toMatch(/^Saturday 22 March: /);
});

test('what nobody told is not made up', () => {
  expect(say({ by: null, note: null, minutes: null, tasks: ['engine-oil'] })).toBe(
    'Saturday 22 March at 387.4 h: change engine oil and filter.',
  );
});

test('estimated hours are those said of that day now, never above the hours now; read ones stay', () => {
  const estimated = { ...record, hours: 11.5, hoursKnown: 'estimated' } as const;
  const hoursNow = { p10: 3.6, p50: 3.7, p90: 4.2 };
  const said = { ...due, task: 'engine-oil', lastDay: record.day, lastHours: 2.9 };
  expect(withHoursSaidNow(estimated, { hoursNow, dues: [said] }).hours).toBe(2.9);
  expect(withHoursSaidNow(estimated, { hoursNow, dues: [] }).hours).toBe(3.7);
  expect(withHoursSaidNow({ ...estimated, hours: 2 }, { hoursNow, dues: [] }).hours).toBe(2);
  expect(withHoursSaidNow(record, { hoursNow, dues: [said] })).toBe(record);
});
