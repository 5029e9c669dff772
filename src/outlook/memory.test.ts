import fc from 'fast-check';
import { expect, test } from 'vitest';
import { aHousehold, aMachine, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import { parseZone } from '../domain/day.js';
import type { Facts, MachineFacts, Reading } from '../domain/facts.js';
import { lookAhead } from './look.js';
import { newMemory, recallHours } from './memory.js';

const tasks = [
  aTask('oil', { every: { hours: 50 } }),
  aTask('filter', { every: { hours: 50, months: 12 } }),
  aTask('belt', { every: { hours: 200 } }),
  aTask('greasing', { every: { hours: 10 } }),
  aTask('battery', { every: { months: 6 } }),
];
const done = { kind: 'done', hours: 100, day: inDays(-300) } as const;
const machine = aMachine(tasks, { last: Object.fromEntries(tasks.map((task) => [task.id, done])) });
const home = { household: aHousehold(), machines: [machine] };

const reading = (days: number, hours: number): Reading => ({
  id: `r${days}`,
  atMs: at(days),
  hours,
  about: false,
  door: 'page',
  by: 'ines',
});
const firstReadings = [reading(-300, 100), reading(-200, 112), reading(-100, 121), reading(-20, 133)];

const factsWith = (over: Partial<MachineFacts>, version = 1): Facts => ({
  version,
  machines: [someFacts(over)],
  householdSent: [],
});

test('answers are the same with and without a memory, look after look, readings and answers between', () => {
  const step = fc.record({
    days: fc.integer({ min: 0, max: 60 }),
    minutes: fc.integer({ min: 0, max: 1439 }),
    entry: fc.constantFrom('nothing', 'nothing', 'reading', 'not used', 'left out'),
    hours: fc.double({ min: 0, max: 15, noNaN: true }),
  });
  fc.assert(
    fc.property(fc.array(step, { minLength: 2, maxLength: 5 }), (steps) => {
      const memory = newMemory();
      let facts = factsWith({ readings: firstReadings });
      let days = 0;
      let hours = 133;
      for (const one of steps) {
        days += one.days;
        const nowMs = at(days) + one.minutes * 60_000;
        const [known] = facts.machines;
        if (known === undefined) throw new Error('one machine');
        if (one.entry === 'reading' && one.days > 0) {
          hours += one.hours;
          facts = factsWith({ ...known, readings: [...known.readings, reading(days, hours)] });
        } else if (one.entry === 'not used' && one.days > 1) {
          const told = { sinceMs: at(days - 1), toldAtMs: at(days) };
          facts = factsWith({ ...known, notUsed: [...known.notUsed, told] });
        } else if (one.entry === 'left out') {
          const left = { kind: 'leave-out', tasks: ['greasing'], day: inDays(days), hours, atMs: at(days) } as const;
          facts = factsWith({ ...known, answers: [...known.answers, left] });
        }
        expect(JSON.stringify(lookAhead(home, facts, nowMs, memory))).toBe(
          JSON.stringify(lookAhead(home, facts, nowMs)),
        );
      }
    }),
    { numRuns: 15 },
  );
});

test('time alone does not make a new fit; a reading does, and so does another expectation', () => {
  const memory = newMemory();
  const recall = (over: Partial<MachineFacts>, days: number, of = machine) =>
    recallHours(of, someFacts({ readings: firstReadings, ...over }), home.household, at(days), memory);
  const first = recall({}, 0);
  expect(recall({}, 90).estimate).toBe(first.estimate);
  expect(recall({}, 90).courses).toBe(first.courses);
  const later = recall({ readings: [...firstReadings, reading(91, 150)] }, 92);
  expect(later.estimate).not.toBe(first.estimate);
  expect(later.courses).not.toBe(first.courses);
  const otherwise = { ...machine, expect: { season: 'winter' as const, hoursPerYear: 300 } };
  expect(recall({ readings: [...firstReadings, reading(91, 150)] }, 92, otherwise).estimate).not.toBe(later.estimate);
});

test('evidence ahead of now is left out, and counts once its time has come', () => {
  const memory = newMemory();
  const facts = factsWith({ readings: [...firstReadings, reading(10, 160)] });
  for (const days of [0, 5, 11, 4]) {
    expect(JSON.stringify(lookAhead(home, facts, at(days), memory))).toBe(
      JSON.stringify(lookAhead(home, facts, at(days))),
    );
  }
  expect(recallHours(machine, facts.machines[0] ?? someFacts({}), home.household, at(4), memory).estimate).not.toBe(
    recallHours(machine, facts.machines[0] ?? someFacts({}), home.household, at(11), memory).estimate,
  );
});

test('a household that moves to another time zone is looked at anew', () => {
  const memory = newMemory();
  const facts = factsWith({ readings: firstReadings });
  lookAhead(home, facts, at(0), memory);
  const away = { ...home, household: aHousehold({ zone: parseZone('Pacific/Auckland') }) };
  expect(JSON.stringify(lookAhead(away, facts, at(0), memory))).toBe(JSON.stringify(lookAhead(away, facts, at(0))));
});
