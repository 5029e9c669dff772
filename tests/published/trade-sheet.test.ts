import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, onTestFinished, test } from 'vitest';
import { parseDay } from '../../src/domain/day.js';
import { type Finding, noFacts } from '../../src/domain/facts.js';
import type { Home } from '../../src/domain/home.js';
import { openFindings } from '../../src/domain/open-findings.js';
import { convert, parseQuantity } from '../../src/domain/quantity.js';
import type { Sheet, SheetLine } from '../../src/domain/results/sheet.js';
import { loadHome } from '../../src/home/load-home.js';
import { libraryPlans, loadLibraryPlan } from '../../src/home/plan-library.js';
import { confirmVisit } from '../../src/ledger/confirm-visit.js';
import { sheetOf } from '../../src/outlook/sheet-of.js';
import { saySheetLine } from '../../src/words/sheet.js';
import { factsAbout, stageBooks, stageVisit } from '../stage/ledger-books.js';

// Cases of a shed afternoon, from the text of a plan through the order to the sheet. Source: common practice, no source.

/** A home with one tractor whose plan is this text, and what it has. */
function homeWith(plan: string, has = '[]'): Home {
  const dir = mkdtempSync(join(tmpdir(), 'shedbell-trade-'));
  onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
  for (const folder of ['plans', 'machines']) mkdirSync(join(dir, folder));
  writeFileSync(join(dir, 'household.yaml'), 'name: Test House\ntimezone: Europe/Lisbon\n');
  writeFileSync(join(dir, 'plans/own.yaml'), plan);
  writeFileSync(
    join(dir, 'machines/yard-tractor.yaml'),
    `name: Yard tractor\nplan: own\nsince: 2030-04-09\nhas: ${has}\n`,
  );
  const read = loadHome(dir, {});
  if (read.kind === 'faults') throw new Error(read.faults.map(({ line }) => line).join('\n'));
  return read.home;
}

function machineIn(home: Home) {
  const [machine] = home.machines;
  if (machine === undefined) throw new Error('no machine');
  return machine;
}

/** All tasks of that tractor in one visit. */
function visitIn(home: Home) {
  const machine = machineIn(home);
  return {
    ...stageVisit(
      'yard-tractor-1',
      machine.tasks.map(({ id }) => id),
    ),
    machine: machine.id,
  };
}

function sheetIn(home: Home): Sheet {
  const facts = { version: 1, machines: [noFacts(machineIn(home).id)], householdSent: [] };
  const sheet = sheetOf(home, facts, visitIn(home));
  if (sheet === null) throw new Error('no sheet');
  return sheet;
}

const textOf = (line: SheetLine): string => ('text' in line ? line.text : 'title' in line ? line.title : line.kind);
const headings = (sheet: Sheet): string[] =>
  sheet.lines.flatMap((line) => (line.kind === 'task' && line.task !== 'opening' ? [line.task] : []));
const states = (sheet: Sheet): string[] => sheet.lines.flatMap((line) => (line.kind === 'state' ? [line.text] : []));
const at = (sheet: Sheet, pattern: RegExp): number => sheet.lines.findIndex((line) => pattern.test(textOf(line)));

describe('a brake pedal that is adjusted, then backed off, then checked', () => {
  const plan = `title: Own plan
tasks:
  - id: brake-rod
    title: Brake rod
    every: { months: 12 }
    minutes: 20
    steps: [{ do: "Loosen the locknut" }]
    measure:
      - id: pedal
        name: travel of the brake pedal
        kind: adjustThen
        adjustTo: 0.4 in (10 mm)
        then: back one full turn
        min: 1.0 in
        max: 1.4 in
  - id: wash
    title: Wash
    every: { months: 12 }
    minutes: 5
`;

  test('0.4 in is the 10 mm beside it', () => {
    expect(convert(parseQuantity('0.4 in'), 'mm')).toBeCloseTo(10, 0);
  });

  test('has its steps on the sheet in that order, and the value as left behind them', () => {
    const sheet = sheetIn(homeWith(plan));
    const body = sheet.lines.filter((line) => 'task' in line && line.task === 'brake-rod');
    expect(body.map((line) => (line.kind === 'measurement' ? line.limits : textOf(line)))).toEqual([
      'Brake rod',
      'Loosen the locknut',
      'Before anything is turned, measure as found: travel of the brake pedal.',
      'Set it to 0.4 in (10 mm).',
      'Then: back one full turn.',
      'then check for 1.0 to 1.4 in; not done without the value as left',
    ]);
    const numbers = body.flatMap((line) => ('number' in line ? [line.number] : []));
    expect(numbers).toEqual(numbers.map((_, step) => (numbers[0] ?? 0) + step));
  });

  test.each(['page', 'link', 'command'] as const)('cannot be ticked by %s without the value as left', (door) => {
    const home = homeWith(plan);
    const books = stageBooks({ home });
    const visit = visitIn(home);
    const pedal: Finding = {
      task: 'brake-rod',
      measurement: 'pedal',
      place: null,
      found: null,
      left: null,
      verdict: null,
      note: null,
    };
    const tick = (findings: readonly Finding[], tasks: readonly string[] | null = null) =>
      confirmVisit(books, {
        visit,
        tasks,
        day: parseDay('2031-04-05'),
        hours: null,
        by: null,
        door,
        note: null,
        minutes: null,
        findings,
        key: null,
      });
    const refused = {
      kind: 'refused',
      fault: {
        code: 'value-left-missing',
        place: 'brake-rod, pedal, as left',
        message: '“Brake rod” is not done without a value: travel of the brake pedal, as left',
        remedy: expect.stringContaining('on the sheet'),
      },
    };
    expect(tick([])).toMatchObject(refused);
    expect(tick([{ ...pedal, left: '  ' }])).toMatchObject(refused);
    expect(tick([{ ...pedal, found: '2 in' }])).toMatchObject({ kind: 'refused' });
    expect(factsAbout(books, 'yard-tractor').records).toEqual([]);
    expect(tick([], ['wash'])).toMatchObject({ kind: 'recorded', record: { tasks: ['wash'] } });
    expect(tick([{ ...pedal, found: '2 in', left: '1 1/4 in' }])).toMatchObject({
      kind: 'recorded',
      record: { tasks: ['brake-rod'], findings: [{ found: '2 in', left: '1 1/4 in', verdict: 'in' }] },
    });
  });
});

test('a seat switch is two tests with their time: by travel pedal and by power take-off', () => {
  const sheet = sheetIn(
    homeWith(`title: Own plan
tasks:
  - id: seat-switch
    title: Seat switch
    group: as it stands
    every: { months: 12 }
    minutes: 6
    needs: { engine: brief }
    measure:
      - { id: pedal, name: out of the seat with the travel pedal pressed, kind: test, passes: the engine stops, longest: 1 s, stopUse: true }
      - { id: shaft, name: out of the seat with the power take-off on, kind: test, passes: the engine stops, longest: 1 s, stopUse: true }
`),
  );
  const tests = sheet.lines.filter((line) => line.kind === 'measurement');
  expect(tests.map(({ limits }) => limits)).toEqual(Array(2).fill('the engine stops, within 1 s'));
  expect(tests.map((line) => saySheetLine(line).at(-1)?.trim())).toEqual(
    Array(2).fill('[ ] passed  [ ] failed  time ______'),
  );
  // Once as found, and once more at the end of a visit that opened something; here nothing was opened.
  expect(states(sheet).filter((text) => /only for a moment/.test(text))).toHaveLength(1);
});

describe('filters', () => {
  const filterTasks = libraryPlans().flatMap((name) => {
    const read = loadLibraryPlan(name);
    if (read.kind === 'faults') throw new Error(name);
    return read.plan.tasks
      .filter(({ parts }) => parts.some((part) => /filter|strainer/i.test(part.name)))
      .map((task) => ({ title: `${name}: ${task.id}`, task }));
  });

  test('are in every plan of the library', () => {
    expect(new Set(filterTasks.map(({ title }) => title.split(':')[0])).size).toBe(libraryPlans().length);
  });

  test.each(filterTasks)('$title asks for the old seal before the new one goes on', ({ task }) => {
    const steps = task.steps.map((step) => step.do);
    const asks = steps.findIndex((text) => /\bold\b.*\b(seal|ring)\b.*\bnone .*\bmachine\b/i.test(text));
    expect(asks, steps.join(' | ')).toBeGreaterThanOrEqual(0);
    const goesOn = steps.findIndex((text) =>
      /\bnew (ring|filter|seal|element|one)\b.*\b(on|in|until|seats)\b/i.test(text),
    );
    // In one step, the question stands before it.
    if (goesOn >= 0) expect(goesOn, steps.join(' | ')).toBeGreaterThanOrEqual(asks);
  });
});

test('a spring that is reached once the filter is off, below one plate: neighbours, and one removal', () => {
  const sheet = sheetIn(
    homeWith(`title: Own plan
covers: [hood, plate]
tasks:
  - id: pedal-spring
    title: Return spring of the pedal
    every: { months: 24 }
    minutes: 5
    needs: { engine: warm, covers: [plate] }
    after: [transmission-filter]
  - id: wash
    title: Wash
    every: { months: 12 }
    minutes: 5
    needs: { engine: "off" }
  - id: belt
    title: Belt
    every: { months: 12 }
    minutes: 5
    needs: { engine: cold, covers: [hood] }
  - id: engine-oil
    title: Engine oil
    every: { months: 12 }
    minutes: 30
    needs: { engine: warm, covers: [hood] }
  - id: listen
    title: Listen
    every: { months: 12 }
    minutes: 5
    needs: { engine: running }
  - id: transmission-filter
    title: Transmission filter
    every: { months: 24 }
    minutes: 20
    needs: { engine: warm, covers: [plate] }
`),
  );
  const order = headings(sheet);
  expect(order.indexOf('pedal-spring')).toBe(order.indexOf('transmission-filter') + 1);
  expect(states(sheet).filter((text) => text.startsWith('Open or take off: plate'))).toHaveLength(1);
  expect(states(sheet).filter((text) => text.startsWith('Refit and fasten: plate'))).toHaveLength(1);
  const off = at(sheet, /^Open or take off: plate/);
  const on = at(sheet, /^Refit and fasten: plate/);
  for (const title of [/^Transmission filter$/, /^Return spring/]) {
    expect(at(sheet, title)).toBeGreaterThan(off);
    expect(at(sheet, title)).toBeLessThan(on);
  }
});

describe('a loader and a shroud that stand in the way', () => {
  const loader = () =>
    homeWith(
      `title: Own plan
covers: [shroud]
fittings: [loader]
tasks:
  - id: axle-oil
    title: Front axle oil
    every: { months: 24 }
    minutes: 20
    needs: { engine: "off", fitted: { loader: "off" } }
  - id: fan
    title: Fan and its belt
    every: { months: 12 }
    minutes: 10
    needs: { engine: cold, covers: [shroud], fitted: { loader: "off" } }
  - id: loader-off
    title: Loader couplings
    every: { months: 12 }
    minutes: 10
    needs: { engine: "off", fitted: { loader: "off" } }
    steps: [{ do: "Wipe the couplings, caps on" }]
    notes: ["Hoses drip when they are parted: that is normal."]
    cautions: [hydraulic-pressure]
  - id: grease-loader
    title: Grease the loader
    every: { months: 4 }
    minutes: 10
    needs: { engine: "off", fitted: { loader: "on" } }
    points: [{ place: loader pins, count: 4, sides: both }]
`,
      '[loader]',
    );

  test('go off once, before the jobs that want them off and after the greasing that wants the loader on', () => {
    const sheet = sheetIn(loader());
    const off = at(sheet, /^Take off: loader/);
    const shroud = at(sheet, /^Open or take off: shroud/);
    expect(at(sheet, /^Grease the loader$/)).toBeLessThan(off);
    for (const title of [/^Front axle oil$/, /^Fan and its belt$/, /^Loader couplings$/]) {
      expect(at(sheet, title)).toBeGreaterThan(off);
    }
    expect(at(sheet, /^Fan and its belt$/)).toBeGreaterThan(shroud);
    expect(states(sheet).filter((text) => /^(Take off: loader|Put back on: loader)/.test(text))).toHaveLength(2);
    expect(states(sheet).filter((text) => /^(Open or take|Refit).*: shroud/.test(text))).toHaveLength(2);
  });

  test('hoses that drip when parted are a note, and no finding', () => {
    const home = loader();
    const sheet = sheetIn(home);
    expect(sheet.lines).toContainEqual({
      kind: 'note',
      task: 'loader-off',
      text: 'Hoses drip when they are parted: that is normal.',
    });
    expect(sheet.lines.filter((line) => line.kind === 'measurement')).toEqual([]);
    const books = stageBooks({ home });
    const answer = confirmVisit(books, {
      visit: visitIn(home),
      tasks: ['loader-off'],
      day: parseDay('2031-04-05'),
      hours: null,
      by: null,
      door: 'page',
      note: 'the hoses dripped',
      minutes: null,
      findings: [],
      key: null,
    });
    expect(answer).toMatchObject({ kind: 'recorded', record: { tasks: ['loader-off'], findings: [] } });
    expect(openFindings(machineIn(home), factsAbout(books, 'yard-tractor'))).toEqual([]);
  });
});
