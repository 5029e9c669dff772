import { expect, test } from 'vitest';
import { aHousehold, aMachine, aTask, at, inDays, someFacts, written } from '../../tests/stage/visit-scene.js';
import { dayMs } from '../domain/day.js';
import type { Facts, MachineFacts, Reading } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { lookAhead } from './look.js';
import { newMemory } from './memory.js';

const oil = aTask('oil', {
  every: { hours: 50 },
  parts: [{ name: 'oil filter', quantity: 1, leadDays: 5 }],
});
const known = { last: { oil: { kind: 'done', hours: 100, day: inDays(-300) } } } as const;

function reading(days: number, hours: number): Reading {
  return { id: `r${days}`, atMs: at(days), hours, about: false, door: 'page', by: 'ines' };
}

const readings = [
  reading(-300, 100),
  reading(-240, 108),
  reading(-180, 117),
  reading(-120, 125),
  reading(-60, 133),
  reading(-3, 141),
];

function look(facts: Partial<MachineFacts>, over: Partial<Machine> = {}, nowMs = at(0), memory = newMemory()) {
  const home = { household: aHousehold(), machines: [aMachine([oil], { ...known, ...over })] };
  const all: Facts = { version: 7, machines: [someFacts(facts)], householdSent: [] };
  return lookAhead(home, all, nowMs, memory);
}

test('readings in, and out come hours now, a due date with its doubt, a visit and what to buy', () => {
  const outlook = look({ readings });
  const [machine] = outlook.machines;
  expect(outlook.today).toBe(inDays(0));
  expect(outlook.factsVersion).toBe(7);
  expect(machine?.hoursNow && machine.hoursNow.p10 >= 141 && machine.hoursNow.p90 < 150).toBe(true);
  expect(machine?.hoursPerYear && machine.hoursPerYear > 30 && machine.hoursPerYear < 80).toBe(true);
  const [due] = machine?.dues ?? [];
  expect(due?.day && due.day.p10 > inDays(10) && due.day.p90 < inDays(250)).toBe(true);
  const [visit] = outlook.visits;
  expect(visit).toMatchObject({ id: 'orchard-mower-oil-1', tasks: ['oil'], kind: 'service' });
  expect(visit?.shopping[0]).toMatchObject({ name: 'oil filter', toBuy: 1 });
  expect(outlook.nextLookMs).toBeGreaterThan(outlook.nowMs);
  expect(outlook.waiting).toHaveLength(1);
});

test('hours that ran up faster bring the visit nearer', () => {
  const slow = look({ readings }).visits[0]?.day;
  const fast = look({ readings: [...readings.slice(0, 5), reading(-3, 148)] }).visits[0]?.day;
  expect(fast && slow && fast < slow).toBe(true);
});

test('a remembered fit gives the answer of a new one, and is not fitted again', () => {
  const memory = newMemory();
  const first = look({ readings }, {}, at(0), memory);
  const fit = memory.fits.get('orchard-mower')?.estimate;
  const second = look({ readings }, {}, at(0), memory);
  expect(memory.fits.get('orchard-mower')?.estimate).toBe(fit);
  expect(JSON.stringify(second)).toBe(JSON.stringify(first));
  expect(JSON.stringify(look({ readings }))).toBe(JSON.stringify(first));
  look({ readings: [...readings, reading(-1, 142)] }, {}, at(0), memory);
  expect(memory.fits.get('orchard-mower')?.estimate).not.toBe(fit);
});

test('looking twice at one instant, with the first answer written down, says nothing more', () => {
  let facts = someFacts({ readings: readings.map((r) => ({ ...r, hours: r.hours + 8 })) });
  let said = 0;
  for (let nowMs = at(0); nowMs < at(60); ) {
    const first = look(facts, {}, nowMs);
    facts = written(facts, first.messages, first.visits, nowMs);
    const again = look(facts, {}, nowMs);
    expect(again.messages).toEqual([]);
    said += first.messages.length;
    nowMs = again.nextLookMs;
  }
  expect(said).toBeGreaterThanOrEqual(2);
});

test('the trace runs from the first evidence to a year ahead, in order, never narrower than nothing', () => {
  const { trace } = look({ readings }).machines[0] ?? { trace: { atMs: [], p10: [], p50: [], p90: [] } };
  expect(trace.atMs.length).toBeGreaterThanOrEqual(60);
  expect(trace.atMs[0]).toBe(at(-300));
  expect(trace.atMs.at(-1)).toBeGreaterThan(at(360));
  trace.atMs.forEach((instant, i) => {
    expect(instant > (trace.atMs[i - 1] ?? 0)).toBe(true);
    const [p10, p50, p90] = [trace.p10[i] ?? Number.NaN, trace.p50[i] ?? Number.NaN, trace.p90[i] ?? Number.NaN];
    expect(p10 <= p50 && p50 <= p90).toBe(true);
  });
});

test('a metered machine without any reading is named with what to do, and does not stop the look', () => {
  const outlook = look({}, { last: {} });
  expect(outlook.problems.join(' ')).toMatch(/hours of orchard mower yet: read its meter/);
  expect(outlook.machines[0]).toMatchObject({ hoursNow: null, hoursPerYear: null });
  expect(outlook.machines[0]?.trace.atMs).toEqual([]);
});

test('a sensor that saw nothing while the meter rose is asked about, until a reading agrees with it again', () => {
  const feed = { kind: 'run-seconds', topic: 'barn/mower', scale: 1, offset: 0, silentAfterMinutes: 15 } as const;
  const coverage = [{ fromMs: at(-60), toMs: at(0) }];
  const saw = [{ fromMs: at(-61), toMs: at(-61) + 3_600_000 }];
  const problems = (facts: Partial<MachineFacts>) => look({ coverage, runs: saw, ...facts }, { feed }).problems;
  expect(problems({ readings })).toEqual([
    'orchard mower: the sensor saw 0.0 h while the meter rose 8.0 h. Is it still connected? Until it sees the engine run again, the hours are estimated.',
  ]);
  expect(problems({ readings: [...readings, reading(-1, 141.1)] })).toEqual([]);
});

test('a task that nothing ever brings is named', () => {
  const { every: _, ...stray } = aTask('stray');
  const home = { household: aHousehold(), machines: [aMachine([stray])] };
  expect(lookAhead(home, { version: 1, machines: [], householdSent: [] }, at(0)).problems.join(' ')).toMatch(
    /nothing ever brings “Look after the stray”/,
  );
});

test('a household without people is told of on the page', () => {
  const home = { household: aHousehold({ people: [] }), machines: [] };
  const outlook = lookAhead(home, { version: 1, machines: [], householdSent: [] }, at(0));
  expect(outlook.problems).toHaveLength(1);
  expect(outlook.nextLookMs).toBe(at(0) + 7 * dayMs);
});

test('a machine that is gone is listed and says nothing', () => {
  const outlook = look({ readings }, { gone: true });
  expect(outlook.machines).toHaveLength(1);
  expect([outlook.visits, outlook.messages]).toEqual([[], []]);
});

test('a machine without a meter has unknown hours until somebody says how long it ran', () => {
  const meterless = { meter: { kind: 'none' } } as const;
  expect(look({}, meterless).machines[0]?.hoursNow).toBeNull();
  const told = { toldRuns: [{ id: 't', atMs: at(-1), minutes: 40, by: 'ines' }] };
  expect(look(told, meterless).machines[0]?.hoursNow?.p50).toBeGreaterThan(0);
});
