import { describe, expect, test } from 'vitest';
import { libraryMachine, shedVisit } from '../../tests/stage/library-visit.js';
import { resolveCaution } from '../domain/cautions.js';
import { parseDay } from '../domain/day.js';
import { noFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import { convert, parseQuantity } from '../domain/quantity.js';
import type { Sheet, SheetLine } from '../domain/results/sheet.js';
import type { Task } from '../domain/task.js';
import { libraryPlans } from '../home/plan-library.js';
import { writeSheet } from './write-sheet.js';

const machineOf = (name: string): Machine => libraryMachine(name, parseDay('2031-03-01'));

const visitOf = (machine: Machine, tasks: readonly string[], by: 'owner' | 'dealer' = 'owner') =>
  shedVisit(machine.id, tasks, parseDay('2031-05-10'), { by });

/** As a household sets it. */
const setUpMinutes = 20;

const linesOf = (sheet: Sheet, task: string): SheetLine[] =>
  sheet.lines.filter((line) => 'task' in line && line.task === task);
const cautionIds = (lines: readonly SheetLine[]): string[] =>
  lines.flatMap((line) => {
    if (line.kind === 'caution') return [line.caution.id];
    if (line.kind === 'step') return line.caution === null ? [] : [line.caution.id];
    return line.kind === 'if-out' ? line.steps.flatMap(({ caution }) => (caution === null ? [] : [caution.id])) : [];
  });
const refsOf = (task: Task) => [
  ...task.cautions,
  ...(task.by === 'dealer' ? [] : [...task.steps, ...(task.ifOut?.steps ?? [])]).flatMap(({ caution }) =>
    caution === undefined ? [] : [caution],
  ),
];

const machines = libraryPlans().map((name) => ({ name, machine: machineOf(name) }));
const every = machines.flatMap(({ name, machine }) =>
  machine.tasks.map((task) => ({ name, machine, task, title: `${name}: ${task.id}` })),
);

describe('every task of every library plan', () => {
  test.each(every)('$title stands on its sheet with all its work and all its cautions', ({ machine, task }) => {
    const sheet = writeSheet(visitOf(machine, [task.id], task.by), machine, noFacts(machine.id), setUpMinutes);
    expect(sheet.comesFirst).toMatch(/manual, local codes and licensed practice come first/);
    if (task.every === 'use') {
      expect(sheet.beforeUse.map((check) => check.task)).toContain(task.id);
      expect(linesOf(sheet, task.id)).toEqual([]);
      return;
    }
    const lines = linesOf(sheet, task.id);
    expect(lines.filter(({ kind }) => kind === 'task')).toHaveLength(1);
    const referred = lines.flatMap((line) => (line.kind === 'note' ? [line.text] : []));
    for (const caution of refsOf(task).map((ref) => resolveCaution(ref))) {
      // In full above its own work, or further up with a few words here.
      const again = `${caution.signal}: ${caution.short}, as above step `;
      const isAgain = referred.some((text) => text.startsWith(again)) && cautionIds(sheet.lines).includes(caution.id);
      expect(cautionIds(lines).includes(caution.id) || isAgain).toBe(true);
    }
    if (task.by === 'dealer') return;
    for (const step of task.steps)
      expect(lines).toContainEqual(expect.objectContaining({ kind: 'step', text: step.do }));
    expect(lines.flatMap((line) => (line.kind === 'measurement' ? [line.measurement.id] : []))).toEqual(
      task.measure.map(({ id }) => id),
    );
    expect(lines.flatMap((line) => (line.kind === 'points' ? [line.points] : []))).toEqual(task.points ?? []);
    expect(lines.some(({ kind }) => kind === 'if-out')).toBe(task.ifOut !== undefined);
    expect(lines.some(({ kind }) => kind === 'outcomes')).toBe(task.outcomes !== undefined);
    expect(sheet.minutes).toBeGreaterThanOrEqual(task.minutes);
  });

  test.each(every)('$title is written with limits in words and says nothing undefined', ({ machine, task }) => {
    const sheet = writeSheet(visitOf(machine, [task.id], task.by), machine, noFacts(machine.id), setUpMinutes);
    for (const line of sheet.lines) if (line.kind === 'measurement') expect(line.limits).not.toBe('');
    expect(JSON.stringify(sheet)).not.toMatch(/undefined|NaN|\[object/);
  });
});

describe.each(machines)('everything at once on $name', ({ machine }) => {
  const own = machine.tasks.filter(({ by }) => by === 'owner').map(({ id }) => id);
  const sheet = writeSheet(visitOf(machine, own), machine, noFacts(machine.id), setUpMinutes);
  const headings = sheet.lines.flatMap((line) => (line.kind === 'task' ? [line.task] : []));

  test('respects what comes after what', () => {
    for (const { id, after = [] } of machine.tasks) {
      for (const earlier of after) {
        if (headings.includes(id) && headings.includes(earlier)) {
          expect(headings.indexOf(earlier)).toBeLessThan(headings.indexOf(id));
        }
      }
    }
  });

  test('begins with the machine as it stands', () => {
    const isBaseline = headings
      .slice(1)
      // Back from storage comes before the first start, and so before the looks that start the engine.
      .filter((id) => id !== 'spring-return')
      .map((id) => machine.tasks.find((task) => task.id === id)?.group === 'as it stands');
    expect(isBaseline).toContain(true);
    expect(isBaseline.lastIndexOf(true)).toBeLessThan(isBaseline.includes(false) ? isBaseline.indexOf(false) : 99);
  });

  test('lifts each end once, and what is taken off goes on again', () => {
    const states = sheet.lines.flatMap((line) => (line.kind === 'state' ? [line.text] : []));
    const lifts = states.filter((text) => text.includes('Chock the wheels'));
    expect(new Set(lifts).size).toBe(lifts.length);
    expect(states.filter((text) => text.startsWith('Refit')).length).toBe(
      states.filter((text) => text.startsWith('Open or take off')).length,
    );
  });

  test('numbers what is ticked from 1 without a gap, and its minutes are those of its lines', () => {
    const numbers = sheet.lines.flatMap((line) => {
      return 'number' in line ? [line.number] : [];
    });
    expect(numbers).toEqual(numbers.map((_, at) => at + 1));
    // What only a bad finding brings is numbered below the line above it, so that no number is missing without it.
    for (const [at, line] of sheet.lines.entries()) {
      if (line.kind !== 'if-out') continue;
      const above = sheet.lines.slice(0, at).flatMap((earlier) => ('number' in earlier ? [earlier.number] : []));
      expect(line.steps.map(({ number }) => Math.floor(number))).toEqual(line.steps.map(() => Math.max(...above)));
      expect(new Set(line.steps.map(({ number }) => number)).size).toBe(line.steps.length);
    }
    const minutes = sheet.lines.reduce((sum, line) => sum + (line.kind === 'task' ? line.minutes : 0), 0);
    expect(sheet.minutes).toBe(minutes);
  });

  test('says the worst dangers again at the top', () => {
    expect(sheet.cautions.length).toBeGreaterThan(0);
    expect(sheet.cautions.filter(({ signal }) => signal === 'DANGER').length).toBe(
      new Set(
        sheet.lines
          .flatMap((line) => (line.kind === 'caution' || line.kind === 'step' ? [line.caution] : []))
          .filter((caution) => caution?.signal === 'DANGER')
          .map((caution) => caution?.id),
      ).size,
    );
  });

  test('is proven to be the quickest order', () => {
    expect(sheet.orderProven).toBe(true);
  });
});

describe('the small engine tool', () => {
  const whole = machineOf('small-petrol-engine-tool');
  const having = (...has: string[]): Machine => ({
    ...whole,
    has,
    tasks: whole.tasks.filter((task) => (task.has ?? []).every((fitting) => has.includes(fitting))),
  });
  const ids = (machine: Machine) => machine.tasks.map(({ id }) => id);
  const words = (machine: Machine) => {
    const own = machine.tasks.filter(({ by, group }) => by === 'owner' && group !== 'storage').map(({ id }) => id);
    return JSON.stringify(writeSheet(visitOf(machine, own), machine, noFacts(machine.id), setUpMinutes).lines);
  };
  const sawTasks = [
    'chain-before-use',
    'chain-brake',
    'saw-guards',
    'chain-tension',
    'chain-sharp',
    'guide-bar',
    'chain-sprocket',
    'bar-oil',
    'saw-storage',
  ];

  test('with a chain has brake, tension, teeth, bar, sprocket, bar oil and catcher, and warns of kickback', () => {
    const saw = having('two-stroke', 'chain');
    expect(ids(saw)).toEqual(expect.arrayContaining(sawTasks));
    expect(words(saw)).toMatch(/"kickback"/);
    expect(words(saw)).toMatch(/chain brake on, sheath on the bar/);
  });

  test('without a chain has none of them, and says nothing of a chain', () => {
    const hedge = having('two-stroke', 'hedge-blades', 'gear-head');
    expect(ids(hedge).filter((id) => sawTasks.includes(id))).toEqual([]);
    expect(ids(hedge)).toEqual(expect.arrayContaining(['hedge-blades', 'gear-head']));
    expect(words(hedge)).not.toMatch(/kickback|chain brake/);
  });

  test('with two strokes and no meter hears nothing of sump, parking brake, chocks, keys and hours', () => {
    expect(words(having('two-stroke', 'hedge-blades', 'gear-head'))).not.toMatch(
      /run down|levels? again|[Pp]arking|[Bb]rake on|chock|key out|the key|hour meter|with the hours/,
    );
  });
});

test('the tractor has a full plan: 30 tasks or more, 8 or more with measurements, many kinds of them', () => {
  const { tasks } = machineOf('compact-diesel-tractor');
  expect(tasks.length).toBeGreaterThanOrEqual(30);
  expect(tasks.filter(({ measure }) => measure.length > 0).length).toBeGreaterThanOrEqual(8);
  const kinds = new Set(tasks.flatMap(({ measure }) => measure.map(({ specification }) => specification.kind)));
  expect([...kinds].sort()).toEqual(
    [
      'adjustThen',
      'atLeast',
      'atMost',
      'difference',
      'level',
      'look',
      'lookup',
      'nominal',
      'range',
      'setTo',
      'test',
    ].sort(),
  );
});

// Source: SAE J300, Table 1, cranking temperature of each W grade (-35 C for 0W, 5 C more for each grade). The test
// temperature is no recommendation, so our plans stay 5 C or more above it.
const crankingCelsius: Readonly<Record<string, number>> = {
  '0W': -35,
  '5W': -30,
  '10W': -25,
  '15W': -20,
  '20W': -15,
  '25W': -10,
};

test.each(machines)('engine oils of $name are named only for cold that their grade can crank in', ({ machine }) => {
  const oils = machine.tasks.flatMap(({ fluids }) => fluids).filter(({ name }) => name === 'engine oil');
  expect(oils.length).toBeGreaterThan(0);
  for (const { grade, coldest } of oils.flatMap(({ choices = [] }) => choices)) {
    const winter = /^(\d+W)-/.exec(grade)?.[1];
    const celsius = convert(parseQuantity(coldest ?? ''), 'C');
    expect(celsius).toBeGreaterThanOrEqual(winter === undefined ? 0 : (crankingCelsius[winter] ?? 99) + 5);
  }
});

// What is set, filed or screwed in is measured before, else nothing is as found; what closes an opening comes before what
// fills it. Source: common practice, no source.
describe('work is done in the order in which it can be measured', () => {
  test.each([
    ['small-petrol-engine-tool', 'hedge-blades', 'blade-gap', /^Blade bolts one by one/],
    ['small-petrol-engine-tool', 'hedge-blades', 'blade-bolts', /^Blade bolts one by one/],
    ['small-petrol-engine-tool', 'chain-sharp', 'depth-gauge', /^Round file/],
    ['small-petrol-engine-tool', 'chain-sharp', 'tooth-length', /^Round file/],
    ['small-petrol-engine-tool', 'guide-bar', 'groove', /^Bar turned over/],
    ['small-petrol-engine-tool', 'spark-plug', 'plug-gap', /^In by hand/],
    ['portable-generator', 'spark-plug', 'plug-gap', /^In by hand/],
    ['ride-on-petrol-mower', 'spark-plug', 'plug-gap', /^In by hand/],
    ['ride-on-petrol-mower', 'blades', 'blade-thickness', /^Blade on the right way up/],
    ['compact-diesel-tractor', 'brake-pedal', 'brake-free-travel', /slow trial on level ground/],
    ['compact-diesel-tractor', 'engine-oil', 'drain-plug-torque', /^Pour most of the new oil/],
    ['portable-generator', 'engine-oil', 'drain-plug-torque', /^Fill on the level/],
  ] as const)('%s, %s: %s stands before the step that changes it', (plan, task, measurement, step) => {
    const machine = machineOf(plan);
    const lines = linesOf(writeSheet(visitOf(machine, [task]), machine, noFacts(machine.id), setUpMinutes), task);
    const measured = lines.findIndex((line) => line.kind === 'measurement' && line.measurement.id === measurement);
    const changed = lines.findIndex((line) => line.kind === 'step' && step.test(line.text));
    expect(measured).toBeGreaterThan(0);
    expect(changed).toBeGreaterThan(measured);
  });

  test('the brake rod is not turned before its travel is measured as found, and is tried on the level at the end', () => {
    const machine = machineOf('compact-diesel-tractor');
    const sheet = writeSheet(visitOf(machine, ['brake-rod']), machine, noFacts(machine.id), setUpMinutes);
    const steps = linesOf(sheet, 'brake-rod').flatMap((line) => (line.kind === 'step' ? [line.text] : []));
    const asFound = steps.findIndex((text) => text.startsWith('Before anything is turned'));
    const turns = steps.findIndex((text) => /\b(set it|locknut|back on the rod)/i.test(text));
    expect(asFound).toBeGreaterThan(0);
    expect(turns).toBeGreaterThan(asFound);
    expect(steps.at(-1)).toMatch(/slow trial on level ground/);
  });

  test('what was decided is asked for once the work of the task is over', () => {
    const machine = machineOf('small-petrol-engine-tool');
    const sheet = writeSheet(visitOf(machine, ['hedge-blades']), machine, noFacts(machine.id), setUpMinutes);
    const kinds = linesOf(sheet, 'hedge-blades').map(({ kind }) => kind);
    expect(kinds.indexOf('outcomes')).toBeGreaterThan(kinds.lastIndexOf('step'));
  });
});
