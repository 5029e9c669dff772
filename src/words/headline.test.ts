import { expect, test } from 'vitest';
import { generator, home, outlook, tractor, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import type { Outlook } from '../domain/results/outlook.js';
import { sayHeadline } from './headline.js';

const say = (more: Partial<Outlook>, machines = home.machines) =>
  sayHeadline({ ...outlook, ...more }, { ...home, machines });

test('a quiet week says so, then who wants whom when', () => {
  expect(say({ today: parseDay('2031-03-02') }).first).toBe(
    'Nothing to do this week. The hill tractor wants you on Saturday 22 March.',
  );
});

test('the second sentence has the job, its time, its doubt and the hours', () => {
  expect(say({}).second).toBe(
    'Change engine oil and filter, and two more, about 1 h 05: the first of them reaches its limit between 27 March and 24 April, most likely about 8 April. The hill tractor stands at about 386 h (379 to 394).',
  );
});

test('a visit this week comes first, and others of the week are not hidden', () => {
  const other = {
    ...visit,
    id: 'g',
    machine: generator.id,
    day: parseDay('2031-03-23'),
    leadTask: 'generator-oil',
    tasks: ['generator-oil'],
  };
  expect(say({ visits: [visit, other] }).first).toBe(
    'The hill tractor wants you tomorrow, Saturday 22 March. The generator wants you this week too.',
  );
});

test('a day that has passed is waiting, not planned', () => {
  expect(say({ today: parseDay('2031-03-29') }).first).toBe(
    'The hill tractor has been waiting since Saturday 22 March.',
  );
});

test('nothing ahead, and no machine at all, have sentences of their own', () => {
  expect(say({ visits: [] }).first).toBe('Nothing to do, as far as can be seen.');
  expect(say({}, []).first).toBe('No machine is set up yet.');
  expect(say({}, [{ ...tractor, gone: true }]).first).toBe('No machine is left here.');
});

test('work that is due is never called nothing to do because no day is left to do it on', () => {
  const today = parseDay('2032-12-01');
  expect(say({ visits: [], today }).first).toBe('Work is due, but no day is left to do it on.');
  const rests = { ...tractor, resting: { from: parseDay('2032-11-01') } };
  expect(say({ visits: [], today }, [rests]).first).toBe('Nothing to do, as far as can be seen.');
});

test('unknown hours are called unknown', () => {
  const second = say({ machines: outlook.machines.map((machine) => ({ ...machine, hoursNow: null })) }).second;
  expect(second).toContain('Nothing is known yet of how long the hill tractor has run.');
});
