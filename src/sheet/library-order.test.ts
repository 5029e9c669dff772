import { expect, test } from 'vitest';
import { libraryMachine, shedVisit } from '../../tests/stage/library-visit.js';
import { parseDay } from '../domain/day.js';
import { noFacts, type ServiceRecord } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { withMending } from '../domain/mending.js';
import type { Sheet } from '../domain/results/sheet.js';
import { writeSheet } from './write-sheet.js';

// The order of the hands within jobs of the library, and between them. Common practice, no source.

const day = parseDay('2031-05-10');

const machineOf = (name: string): Machine => libraryMachine(name, day);

function sheetOf(machine: Machine, tasks: readonly string[]): Sheet {
  return writeSheet(shedVisit(machine.id, tasks, day), machine, noFacts(machine.id), 20);
}

/** The job alone on its sheet, read line by line; keep values too. */
function readAlone(plan: string, task: string): readonly string[] {
  return sheetOf(machineOf(plan), [task]).lines.flatMap((line) => {
    if (line.kind === 'measurement') return [line.measurement.name];
    if (line.kind === 'keep') return [line.value.name];
    return 'text' in line ? [line.text] : [];
  });
}

test('a generator is read without load before its load goes on, and its load is off again before it is stopped', () => {
  const lines = readAlone('portable-generator', 'exercise-run');
  const places = [
    lines.indexOf('voltage without load'),
    lines.findIndex((text) => /^A heater/.test(text)),
    lines.findIndex((text) => /^Heater off and unplugged/.test(text)),
    lines.findIndex((text) => /^Stop the engine/.test(text)),
  ];
  expect(places.every((place) => place > 0)).toBe(true);
  expect(places).toEqual([...places].sort((a, b) => a - b));
});

test('a run under load asks for its load and its meter beforehand', () => {
  expect(sheetOf(machineOf('portable-generator'), ['exercise-run']).tools).toEqual(
    expect.arrayContaining(['heater of about half its rated load', 'plug-in voltage meter']),
  );
});

test('a mower brake that was out is measured again with the chocks back between, and tried under power only after that', () => {
  const machine = machineOf('ride-on-petrol-mower');
  const record: ServiceRecord = {
    id: 'record-1',
    machine: machine.id,
    visit: null,
    tasks: [],
    day: parseDay('2031-05-09'),
    hours: null,
    hoursKnown: 'unknown',
    by: null,
    door: 'page',
    note: null,
    minutes: null,
    findings: [
      {
        task: 'brake',
        measurement: 'brake-holds',
        place: null,
        found: 'failed',
        left: null,
        verdict: 'out',
        note: null,
      },
    ],
    enteredAtMs: 1,
  };
  const lines = sheetOf(withMending(machine, { records: [record] }), ['brake']).lines;
  const words = lines.flatMap((line) => {
    if (line.kind === 'measurement') return [line.measurement.name];
    return 'text' in line ? [line.text] : [];
  });
  const inOrder = [
    /push the mower by hand/,
    /^Chocks back at the wheels first; turn the nut/,
    /^Now measure again/,
    /^brake$/,
    /^Drive engaged again, chocks back/,
    /start the engine/,
    /slow trial outdoors on the level/,
    /^Stop the engine/,
    /^Engine stopped, chocks back/,
  ].map((pattern) => words.findIndex((text) => pattern.test(text)));
  expect(inOrder.every((at) => at >= 0)).toBe(true);
  expect(inOrder).toEqual([...inOrder].sort((a, b) => a - b));
});

test('the fuel tap that was shut for the oil is open again before the engine starts', () => {
  const lines = readAlone('portable-generator', 'engine-oil');
  const shut = lines.findIndex((text) => /Fuel tap shut/.test(text));
  const open = lines.findIndex((text) => /fuel tap open again/.test(text));
  const start = lines.findIndex((text, at) => at > shut && /start the engine/.test(text));
  expect(shut).toBeGreaterThan(0);
  expect(open).toBeGreaterThan(shut);
  expect(start).toBeGreaterThan(open);
});

test('a first look at a fuel filter can leave it in: nothing was bought for it yet', () => {
  const filter = machineOf('small-petrol-engine-tool').tasks.find(({ id }) => id === 'fuel-filter');
  expect(filter?.outcomes).toEqual(['looked at and fine', 'replaced']);
  expect(filter?.steps.map((step) => step.do).join(' ')).toMatch(/it may stay.*For a new one/);
});

test('the play of a wheel is measured while the wheel is on with its bolts tight', () => {
  const lines = readAlone('compact-diesel-tractor', 'front-wheel-bearings');
  expect(lines.indexOf('play at the rim')).toBeGreaterThan(0);
  expect(lines.indexOf('play at the rim')).toBeLessThan(lines.findIndex((text) => /^Wheels off/.test(text)));
});

test('the loader comes off and goes on with the battery connected and oil in the transmission', () => {
  const machine = machineOf('compact-diesel-tractor');
  const own = machine.tasks.filter(({ by, every, group }) => by === 'owner' && every !== 'use' && group !== 'storage');
  const words = sheetOf(
    machine,
    own.map(({ id }) => id),
  ).lines.flatMap((line) => ('text' in line ? [line.text] : 'title' in line ? [line.title] : []));
  const off = words.findIndex((text) => /^Take off: loader/.test(text));
  const on = words.findIndex((text) => /^Put back on: loader/.test(text));
  expect(off).toBeGreaterThan(words.indexOf('Fill the transmission'));
  expect(words.indexOf('Fill the transmission')).toBeGreaterThan(0);
  for (const moved of [off, on]) {
    const before = words.slice(0, moved);
    const disconnected = before.findLastIndex((text) => /^Disconnect the battery/.test(text));
    const connected = before.findLastIndex((text) => /^Connect the battery/.test(text));
    expect(moved).toBeGreaterThan(0);
    expect(disconnected).toBeGreaterThan(0);
    expect(connected).toBeGreaterThan(disconnected);
  }
});

test('how the transmission is filled stands where it is filled, before the filling, and not where it is drained', () => {
  const machine = machineOf('compact-diesel-tractor');
  const { lines } = sheetOf(machine, ['transmission-oil']);
  const notes = lines.flatMap((line, at) =>
    line.kind === 'note' && /fill 90 % of it first/.test(line.text) ? [at] : [],
  );
  expect(notes).toHaveLength(1);
  expect(lines[notes[0] ?? 0]).toMatchObject({ task: 'transmission-fill' });
  expect(lines.findIndex((line) => line.kind === 'step' && /fill most of the oil/.test(line.text))).toBeGreaterThan(
    notes[0] ?? 0,
  );
  expect(
    lines.some(
      (line) =>
        line.kind === 'note' &&
        /Nothing else before it, but for what is done today of: Change the transmission oil filter\.$/.test(line.text),
    ),
  ).toBe(true);
});

test('a US household fills in its own units, also what another job let out', () => {
  const machine = machineOf('compact-diesel-tractor');
  const visit = shedVisit(machine.id, ['transmission-oil'], day);
  const { lines } = writeSheet(visit, machine, noFacts(machine.id), 20, 'us');
  const notes = lines.flatMap((line) => (line.kind === 'note' ? [line.text] : []));
  expect(notes).toContainEqual(expect.stringMatching(/^transmission and hydraulic oil, 17 L \(18 US qt\): fill /));
});
