import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import { dayMs, hourMs } from '../domain/day.js';
import type { Facts, MachineFacts } from '../domain/facts.js';
import { planVisits } from '../visits/plan-visits.js';
import { type Looked, stillStands } from './still-stands.js';

const home = { household: aHousehold(), machines: [aMachine([aTask('oil')])] };

function fed(hours: number, days: number, over: Partial<MachineFacts> = {}): Facts {
  const atMs = at(days);
  const facts = someFacts({
    runs: [{ fromMs: atMs - hours * hourMs, toMs: atMs }],
    coverage: [{ fromMs: at(-9), toMs: atMs }],
    feedTotal: { runSeconds: hours * 3600, lastAtMs: atMs },
    ...over,
  });
  return { version: days, machines: [facts], householdSent: [] };
}

function looked(dueIn: number): Looked {
  const due = aDue('oil', dueIn, { intervalHours: 50 });
  const facts = fed(3, 0);
  const [machine] = home.machines;
  const visits = machine === undefined ? [] : planVisits(machine, someFacts(), [due], home.household, at(0), null);
  const outlook = {
    nowMs: at(0),
    today: inDays(0),
    factsVersion: 0,
    machines: [
      {
        machine: 'orchard-mower',
        hoursNow: null,
        lastReading: null,
        aside: [],
        feed: null,
        feedRatio: null,
        dues: [due],
        hoursPerYear: null,
        trace: { atMs: [], p10: [], p50: [], p90: [] },
        doubt: null,
        toMend: [],
        helpToAsk: [],
      },
    ],
    visits,
    messages: [],
    nextLookMs: at(0) + 7 * dayMs,
    problems: [],
  };
  return { home, facts, outlook };
}

test('what a sensor tells on an evening changes nothing while all visits are far', () => {
  expect(stillStands(looked(200), home, fed(5, 1), at(1))).toBe(true);
});

test('a burst of more than a tenth of the interval is looked at on the evening it is told', () => {
  expect(stillStands(looked(200), home, fed(9, 1), at(1))).toBe(false);
});

test('with a visit near, every evening is looked at', () => {
  expect(stillStands(looked(40), home, fed(4, 1), at(1))).toBe(false);
});

test('a look comes at its own time, and at once where a person wrote something or the home folder changed', () => {
  const before = looked(200);
  expect(stillStands(before, home, fed(4, 7), at(7))).toBe(false);
  const answered = { notUsed: [{ sinceMs: at(-3), toldAtMs: at(-2) }] };
  expect(stillStands(before, home, fed(4, 1, answered), at(1))).toBe(false);
  expect(stillStands(before, { ...home }, fed(4, 1), at(1))).toBe(false);
  expect(stillStands(before, home, fed(4, 1), at(-1))).toBe(false);
});
