import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts, written } from '../../tests/stage/visit-scene.js';
import type { MachineFacts, ServiceRecord } from '../domain/facts.js';
import { planVisits } from '../visits/plan-visits.js';
import { decideMessages } from './decide.js';

const household = aHousehold();
const tasks = ['oil', 'air-filter', 'chain'].map((id) =>
  aTask(id, { parts: [{ name: `new ${id}`, quantity: 1, leadDays: 7 }] }),
);
const machine = aMachine(tasks);

/** Everything of unknown past, but what was recorded. */
function look(facts: MachineFacts, nowMs: number) {
  const done = (task: string) => facts.records.some((record) => record.tasks.includes(task));
  const dues = tasks.map(({ id }) =>
    done(id)
      ? aDue(id, 300, { lastDay: inDays(4), cycle: 1 })
      : aDue(id, 0, { unknownLast: true, cycle: 0, lastDay: null }),
  );
  const visits = planVisits(machine, facts, dues, household, nowMs);
  const { messages, waiting } = decideMessages({
    home: { household, machines: [machine] },
    facts: { version: 1, machines: [facts], householdSent: [] },
    outlooks: [{ machine, facts, foresight: null, dues, visits }],
    nowMs,
  });
  const notices = messages.flatMap((message) => message.notices);
  return { visits, notices, waiting, facts: written(facts, messages, visits, nowMs) };
}

test('a machine of unknown past is looked at first, soon and with nothing bought; then what it needs is named', () => {
  const first = look(someFacts(), at(1, '18:30'));
  expect(first.notices.map(({ kind }) => kind)).toEqual(['work']);
  const [visit] = first.visits;
  // The look waits for no part, though each takes a week to get.
  expect(visit).toMatchObject({ kind: 'getting-to-know', day: inDays(3), buyBy: null });
  expect(first.waiting.map(({ kind }) => kind)).toEqual(['work']);
  const looked: ServiceRecord = {
    id: 's1',
    machine: machine.id,
    visit: visit?.id ?? null,
    tasks: ['chain'],
    day: inDays(4),
    hours: null,
    hoursKnown: 'unknown',
    by: 'ines',
    door: 'link',
    note: null,
    minutes: null,
    findings: [],
    enteredAtMs: at(4, '12:00'),
  };
  const after = look({ ...first.facts, records: [looked] }, at(4, '18:30'));
  expect(after.visits[0]).toMatchObject({ id: visit?.id, tasks: ['oil', 'air-filter'] });
  expect(after.visits[0]?.day && after.visits[0].day >= inDays(12)).toBe(true);
  expect(after.notices).toMatchObject([{ kind: 'parts', tasks: ['oil', 'air-filter'] }]);
});

test('a first look that nobody took is called for again without a shopping list', () => {
  const first = look(someFacts(), at(1, '18:30'));
  for (let days = 2; days < 24; days++) {
    for (const { kind } of look(first.facts, at(days, '18:30')).notices) expect(kind).toBe('work');
  }
  expect(look(first.facts, at(16, '18:30')).notices.map(({ kind }) => kind)).toEqual(['work']);
});

test('a first look that nobody takes is called for ever more rarely, up to every sixteen weeks', () => {
  let facts = someFacts();
  const said: number[] = [];
  for (let days = 1; days < 400; days++) {
    const seen = look(facts, at(days, '18:30'));
    if (seen.notices.length > 0) said.push(days);
    facts = seen.facts;
  }
  const gaps = said.slice(1).map((day, i) => Math.round((day - (said[i] ?? 0)) / 7));
  expect(gaps).toEqual([2, 4, 8, 16, 16]);
});
