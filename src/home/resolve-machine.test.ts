import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import type { Machine } from '../domain/machine.js';
import { loadHome } from './load-home.js';

const plan = `title: Test plan
covers: [hood, side-panel]
fittings: [loader, oil-cooler]
places: [left, right]
tasks:
  - id: levels
    title: Levels
    every: use
  - id: cooler
    title: Oil cooler
    has: [oil-cooler]
    every: { months: 12 }
    after: [levels]
  - id: oil
    title: Oil
    every: { hours: 150, months: 18 }
    tolerance: { earlyHours: 15, lateHours: 8 }
    minutes: 35
    needs: { engine: warm, covers: [hood], fitted: { loader: off } }
    after: [cooler]
    countsAs: [levels, cooler]
    leadsTo: [{ task: bolts, after: 5 h }, { task: cooler, at: end }]
    parts:
      - { name: Engine oil filter, quantity: 1, leadDays: 7 }
      - { name: seal ring, quantity: 2 }
    fluids: [{ name: engine oil, quantity: 4.2 L, choices: [{ grade: 5W-40, coldest: -25 C }] }]
    measure:
      - { id: pressure, name: pressure, kind: range, min: 2 bar, max: 4 bar, resolution: 0.1 bar }
  - id: bolts
    title: Bolts
    steps: [Tighten them, { do: Look again, where: left }]
    measure:
      - { id: frost, name: frost, kind: atMost, max: -26 C, belowColdest: 8 C }
      - { id: mix, name: mix, kind: range, min: -45 C, max: -26 C, belowColdest: 8 C }
`;

function load(text: string): Machine {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-resolve-'));
  mkdirSync(join(dir, 'machines'));
  mkdirSync(join(dir, 'plans'));
  writeFileSync(join(dir, 'household.yaml'), 'name: H\ntimezone: Europe/Lisbon\n');
  writeFileSync(join(dir, 'plans', 'test.yaml'), plan);
  writeFileSync(join(dir, 'machines', 'mower.yaml'), `name: Mower\nplan: test\nsince: 2027-04-09\n${text}`);
  const read = loadHome(dir, {});
  if (read.kind === 'faults') throw new Error(read.faults.map(({ line }) => line).join('\n'));
  const machine = read.home.machines[0];
  if (machine === undefined) throw new Error('no machine');
  return machine;
}

const taskOf = (text: string, id = 'oil') => load(text).tasks.find((task) => task.id === id);

it('a machine is what its file says, with the rest filled in', () => {
  const { tasks, ...rest } = load('');
  expect(rest).toEqual({
    id: 'mower',
    name: 'Mower',
    planId: 'test',
    has: [],
    covers: ['hood', 'side-panel'],
    places: ['left', 'right'],
    meter: { kind: 'meter', counts: 'clock', changes: [] },
    expect: { season: 'unknown' },
    since: '2027-04-09',
    gone: false,
    last: {},
    never: {},
  });
  expect(tasks.map(({ id }) => id)).toEqual(['levels', 'oil', 'bolts']);
});

it('a task for a fitting that the machine lacks is left out, and nothing names it any more', () => {
  expect(taskOf('')).toMatchObject({
    after: ['levels'],
    countsAs: ['levels'],
    leadsTo: [{ task: 'bolts', afterHours: 5 }],
    needs: { engine: 'warm', covers: ['hood'] },
  });
  expect(taskOf('')?.needs).not.toHaveProperty('fitted');
  expect(taskOf('has: [oil-cooler, loader]')).toMatchObject({
    after: ['cooler'],
    countsAs: ['levels', 'cooler'],
    needs: { fitted: { loader: 'off' } },
  });
});

it('a retired task is left out and its reason kept', () => {
  const machine = load('never: { bolts: welded }');
  expect(machine.tasks.map(({ id }) => id)).toEqual(['levels', 'oil']);
  expect(machine.never).toEqual({ bolts: 'welded' });
});

it('one word for last stands for every task that the machine has', () => {
  expect(load('last: unknown').last).toEqual({
    levels: { kind: 'unknown' },
    oil: { kind: 'unknown' },
    bolts: { kind: 'unknown' },
  });
  expect(load('last: { oil: { hours: 320 h, day: 2026-09-12 }, bolts: fine-as-bought }').last).toEqual({
    oil: { kind: 'done', hours: 320, day: '2026-09-12' },
    bolts: { kind: 'fine-as-bought' },
  });
});

it('the owner changes one limit and keeps the other, or takes it out', () => {
  expect(taskOf('tasks: { oil: { every: { hours: 100 } } }')?.every).toEqual({ hours: 100, months: 18 });
  expect(taskOf('tasks: { oil: { every: { months: none } } }')?.every).toEqual({ hours: 150 });
  expect(taskOf('tasks: { oil: { tolerance: { lateHours: 3 } } }')?.tolerance).toEqual({
    earlyHours: 15,
    lateHours: 3,
  });
  expect(taskOf('tasks: { oil: { needs: { engine: cold } } }')?.needs).toEqual({ engine: 'cold', covers: ['hood'] });
});

it('the owner changes parts and fluids by name, adds some and leaves some out', () => {
  const task = taskOf(
    'tasks: { oil: { parts: [{ name: engine oil filter, number: "12-3" }, { name: seal ring, quantity: 0 }, { name: rag }], fluids: [{ name: engine oil, quantity: 5 L }] } }',
  );
  expect(task?.parts).toEqual([
    { name: 'Engine oil filter', quantity: 1, leadDays: 7, number: '12-3' },
    { name: 'rag', quantity: 1 },
  ]);
  expect(task?.fluids).toEqual([
    { name: 'engine oil', quantity: '5 L', choices: [{ grade: '5W-40', coldest: '-25 C' }] },
  ]);
});

it('the owner changes values of a measurement by id, or its kind', () => {
  expect(taskOf('tasks: { oil: { measure: [{ id: pressure, max: 5 bar }] } }')?.measure).toEqual([
    {
      id: 'pressure',
      name: 'pressure',
      resolution: '0.1 bar',
      specification: { kind: 'range', min: '2 bar', max: '5 bar' },
    },
  ]);
  expect(taskOf('tasks: { oil: { measure: [{ id: pressure, kind: atLeast, min: 30 psi }] } }')?.measure).toEqual([
    { id: 'pressure', name: 'pressure', specification: { kind: 'atLeast', min: '30 psi' } },
  ]);
});

it('a limit of the owner’s own no longer follows the cold, one that only moves its margin does', () => {
  const frost = (change: string) =>
    taskOf(`tasks: { bolts: { measure: [{ id: frost, ${change} }] } }`, 'bolts')?.measure[0]?.specification;
  expect(frost('name: frost protection')).toEqual({ kind: 'atMost', max: '-26 C', belowColdest: '8 C' });
  expect(frost('max: -30 C')).toEqual({ kind: 'atMost', max: '-30 C' });
  expect(frost('belowColdest: 5 C')).toEqual({ kind: 'atMost', max: '-26 C', belowColdest: '5 C' });
  expect(() => frost('belowColdest: -5 C')).toThrow(/mower\.yaml:4:\d+: .*not below 0 \(found "?-5 C"?\)/);
  expect(() => frost('belowColdest: 5 mm')).toThrow(/mower\.yaml:4:\d+: /);
});

it('a warm end of the owner’s own no longer follows the cold, another cold end leaves it following', () => {
  const mix = (change: string) =>
    taskOf(`tasks: { bolts: { measure: [{ id: mix, ${change} }] } }`, 'bolts')?.measure[1]?.specification;
  expect(mix('max: -30 C')).toEqual({ kind: 'range', min: '-45 C', max: '-30 C' });
  expect(mix('min: -50 C')).toEqual({ kind: 'range', min: '-50 C', max: '-26 C', belowColdest: '8 C' });
  expect(mix('belowColdest: 5 C')).toEqual({ kind: 'range', min: '-45 C', max: '-26 C', belowColdest: '5 C' });
  expect(() => mix('belowColdest: 5 mm')).toThrow(/mower\.yaml:4:\d+: /);
});

it('a value that does not fit the rest of its measurement is a fault at its place', () => {
  expect(() => load('tasks: { oil: { measure: [{ id: pressure, max: 1 bar }] } }')).toThrow(
    /mower\.yaml:4:48: The smallest value allowed \(2 bar\) is larger than the largest \(found "1 bar"\)/,
  );
});

it('the variant of a task waits in a circle only with a fault', () => {
  expect(() => load('tasks: { levels: { after: [oil] } }')).toThrow(
    /mower\.yaml:4:27: With this, tasks wait for each other: levels after oil after cooler after levels/,
  );
});

it('meters, feeds and rest come over in the units of the service', () => {
  const machine = load(`meter:
  counts: engine-speed
  first: { hours: 384 h, on: 2025-01-02, about: true }
  replaced: [{ on: 2026-06-01, last: 1203.4 }]
feed: { kind: voltage, topic: a/b, above: 13.2 V, below: 12900 mV, hold: 1 min, silentAfter: 90 s }
resting: { from: 2027-11-15 }
`);
  // Lisbon keeps UTC in January and UTC+1 in June.
  expect(machine.meter).toEqual({
    kind: 'meter',
    counts: 'engine-speed',
    first: { hours: 384, atMs: Date.UTC(2025, 0, 2), about: true },
    changes: [{ atMs: Date.UTC(2026, 4, 31, 23), lastHours: 1203.4, firstHours: 0 }],
  });
  expect(machine.feed).toEqual({
    kind: 'voltage',
    topic: 'a/b',
    scale: 1,
    offset: 0,
    silentAfterMinutes: 1.5,
    aboveVolts: 13.2,
    belowVolts: 12.9,
    holdSeconds: 60,
  });
  expect(machine.resting).toEqual({ from: '2027-11-15' });
  expect(load('meter: none').meter).toEqual({ kind: 'none' });
});

it.each([
  ['3 days', 4320],
  ['1 day', 1440],
  ['1.5 d', 2160],
  ['2 h', 120],
])('a sensor that speaks rarely may be silent for %s', (span, minutes) => {
  const machine = load(`feed: { kind: run-seconds, topic: a/b, silentAfter: ${span} }`);
  expect(machine.feed).toMatchObject({ silentAfterMinutes: minutes });
});

it.each(['0 days', 'three days', '-1 d', 'days'])('a silence of %s is refused at its place', (span) => {
  expect(() => load(`feed: { kind: run-seconds, topic: a/b, silentAfter: ${span} }`)).toThrow(/mower\.yaml:4:/);
});

it('a step may be a plain sentence', () => {
  expect(taskOf('', 'bolts')?.steps).toEqual([{ do: 'Tighten them' }, { do: 'Look again', where: 'left' }]);
});
