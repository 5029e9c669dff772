import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import type { MachineFacts } from '../domain/facts.js';
import { meterHours } from '../domain/meter-hours.js';
import type { Due } from '../domain/results/due.js';
import type { Task } from '../domain/task.js';
import { planVisits } from '../visits/plan-visits.js';
import { decideMessages } from './decide.js';
import { isReadFirst } from './parts.js';

function decide(dues: readonly Due[], nowMs: number, facts: Partial<MachineFacts> = {}, tasks?: readonly Task[]) {
  const household = aHousehold();
  const machine = aMachine(tasks ?? dues.map((due) => aTask(due.task)));
  const known = someFacts(facts);
  const visits = planVisits(machine, known, dues, household, nowMs);
  return decideMessages({
    home: { household, machines: [machine] },
    facts: { version: 1, machines: [known], householdSent: [] },
    outlooks: [{ machine, facts: known, foresight: null, dues, visits }],
    nowMs,
  });
}

test('what waits stands soonest first', () => {
  const days = decide([aDue('late', 300), aDue('soon', 40), aDue('later', 500)], at(0)).waiting.map((one) => one.day);
  expect(days).toHaveLength(3);
  expect(days).toEqual([...days].sort());
});

test('what goes out at this very look is said today, not before', () => {
  const { messages, waiting } = decide([aDue('oil', -3, { tolerance: 200 })], at(2, '18:30'));
  expect(messages).toHaveLength(1);
  expect(waiting[0]?.why).toMatch(/^It is said today; /);
});

test('what was said names the day on which it was said', () => {
  const sent = [
    {
      id: 'n1',
      message: 'm1',
      kind: 'work' as const,
      machine: 'orchard-mower',
      visit: 'orchard-mower-oil-2',
      tasks: ['oil'],
      to: 'ines',
      atMs: at(-5, '18:30'),
      proposedDay: inDays(-4),
      because: '',
    },
  ];
  const [one] = decide([aDue('oil', -3, { tolerance: 200 })], at(0), { sent }).waiting;
  expect(one?.why).toMatch(new RegExp(`^It was said on ${inDays(-5)}; `));
});

test('a second parts notice names only what is new, and nothing goes out where nothing new is to buy', () => {
  const part = (name: string) => ({ name, quantity: 1, leadDays: 7 });
  const tasks = [
    aTask('oil', { parts: [part('oil filter')] }),
    aTask('air', { parts: [part('air filter')] }),
    aTask('belt'),
  ];
  const dues = [aDue('oil', 20), aDue('air', 20), aDue('belt', 20)];
  const told = {
    id: 'n1',
    message: 'm1',
    kind: 'parts' as const,
    machine: 'orchard-mower',
    visit: 'orchard-mower-oil-2',
    to: 'ines',
    atMs: at(-1, '18:30'),
    proposedDay: inDays(17),
    because: '',
  };
  const partsOf = (sent: MachineFacts['sent']) =>
    decide(dues, at(3, '18:30'), { sent }, tasks).messages.flatMap((m) =>
      m.notices.filter((n) => n.kind === 'parts').map((n) => n.tasks),
    );
  expect(partsOf([])).toEqual([['oil', 'air']]);
  expect(partsOf([{ ...told, tasks: ['oil'] }])).toEqual([['air']]);
  expect(partsOf([{ ...told, tasks: ['oil', 'air'] }])).toEqual([]);
});

test('what was to be bought months ago and never used is named again in time', () => {
  const tasks = [aTask('oil', { parts: [{ name: 'oil filter', quantity: 1, leadDays: 7 }] })];
  const told = (days: number) => ({
    id: 'n1',
    message: 'm1',
    kind: 'parts' as const,
    machine: 'orchard-mower',
    visit: 'orchard-mower-oil-2',
    tasks: ['oil'],
    to: 'ines',
    atMs: at(days, '18:30'),
    proposedDay: inDays(days + 14),
    because: '',
  });
  const kinds = (days: number) =>
    decide([aDue('oil', 25)], at(10, '18:30'), { sent: [told(days)] }, tasks).messages.flatMap((m) =>
      m.notices.map((n) => n.kind),
    );
  expect(kinds(-20)).toEqual([]);
  expect(kinds(-120)).toEqual(['parts']);
});

test('a question about the hours does not hold back work whose calendar limit would pass meanwhile', () => {
  const due = (calendar: number) =>
    aDue('oil', 5, {
      limit: 'months',
      targetHours: meterHours(100),
      intervalHours: 50,
      toleranceHours: 5,
      calendarDay: inDays(calendar),
      tolerance: 200,
    });
  const question = {
    id: 'n1',
    message: 'm1',
    kind: 'reading' as const,
    machine: 'orchard-mower',
    visit: 'orchard-mower-oil-2',
    tasks: ['oil'],
    to: 'ines',
    atMs: at(1, '18:30'),
    proposedDay: inDays(3),
    because: '',
  };
  const visits = [
    {
      id: 'orchard-mower-oil-2',
      machine: 'orchard-mower',
      tasks: ['oil'],
      day: inDays(3),
      revision: 1,
      state: 'open' as const,
      announcedAtMs: at(1, '18:30'),
    },
  ];
  const kinds = (calendar: number) =>
    decide([due(calendar)], at(2, '18:30'), { sent: [question], visits }).messages.flatMap((m) =>
      m.notices.map((n) => n.kind),
    );
  expect(kinds(5)).toEqual(['work']);
  expect(kinds(300)).toEqual([]);
});

test('nothing is to be bought for a day that only doubt about the hours brings forward, where a meter can be read first', () => {
  expect(isReadFirst({ cause: { kind: 'unsure' } }, aMachine([]))).toBe(true);
  expect(isReadFirst({ cause: { kind: 'unsure' } }, aMachine([], { meter: { kind: 'none' } }))).toBe(false);
  expect(isReadFirst({ cause: { kind: 'on-time' } }, aMachine([]))).toBe(false);
});
