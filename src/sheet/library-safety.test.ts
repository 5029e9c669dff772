import { describe, expect, test } from 'vitest';
import { libraryMachine, shedVisit } from '../../tests/stage/library-visit.js';
import { parseDay } from '../domain/day.js';
import { noFacts } from '../domain/facts.js';
import type { Machine } from '../domain/machine.js';
import type { Sheet, SheetLine } from '../domain/results/sheet.js';
import type { Visit } from '../domain/results/visit.js';
import type { Task } from '../domain/task.js';
import { libraryPlans } from '../home/plan-library.js';
import { writeSheet } from './write-sheet.js';

// What must hold on every sheet, whatever the visit: read off its lines alone, as somebody in the shed reads them.
// Source of the rules: common practice, no source.

const day = parseDay('2031-05-10');

/** What a machine may have, beyond all and nothing. */
const fittingsOf: Readonly<Record<string, readonly (readonly string[])[]>> = {
  'small-petrol-engine-tool': [
    ['two-stroke', 'chain'],
    ['two-stroke', 'hedge-blades', 'gear-head'],
    ['four-stroke', 'cutter', 'harness'],
  ],
  'compact-diesel-tractor': [['loader'], ['front-axle-drive', 'glow-plugs']],
  'ride-on-petrol-mower': [['deck', 'electric-start'], ['collector']],
  'portable-generator': [['electric-start'], ['low-oil-stop']],
};

function machinesOf(plan: string): Machine[] {
  const all = libraryMachine(plan, day).has;
  return [all, [], ...(fittingsOf[plan] ?? [])].map((has) => ({
    ...libraryMachine(plan, day, has),
    name: `${plan} with ${has.join(', ') || 'nothing'}`,
  }));
}

const isWayBack = ({ id }: Task): boolean => id === 'spring-return' || id === 'fresh-fuel';

function visitsOf({
  tasks,
}: Machine): { readonly what: string; readonly ids: string[]; readonly kind: Visit['kind'] }[] {
  const own = tasks.filter(({ by, every }) => by === 'owner' && every !== 'use');
  const idsOf = (some: readonly Task[]) => some.map(({ id }) => id);
  const storage = own.filter(({ group }) => group === 'storage');
  const pairs = own.flatMap((task, at) => own.slice(at + 1).map((other) => [task, other]));
  return [
    ...own.map((task) => ({ what: task.id, ids: [task.id], kind: 'service' as const })),
    ...pairs
      .filter((_, at) => at % 5 === 0)
      .map((pair) => ({ what: idsOf(pair).join(' and '), ids: idsOf(pair), kind: 'service' as const })),
    { what: 'all work', ids: idsOf(own.filter((task) => !storage.includes(task))), kind: 'service' as const },
    { what: 'everything', ids: idsOf(own), kind: 'service' as const },
    {
      what: 'getting to know it',
      ids: idsOf(own.filter(({ when }) => when === undefined)),
      kind: 'getting-to-know' as const,
    },
    { what: 'laying up', ids: idsOf(storage.filter((task) => !isWayBack(task))), kind: 'service' as const },
    { what: 'the way back', ids: idsOf(storage.filter(isWayBack)), kind: 'service' as const },
    {
      what: 'the way back with all work',
      ids: idsOf(own.filter((task) => !storage.includes(task) || isWayBack(task))),
      kind: 'service' as const,
    },
  ].filter(({ ids }) => ids.length > 0);
}

function sheetOf(machine: Machine, tasks: readonly string[], kind: Visit['kind']): Sheet {
  const visit = shedVisit(machine.id, tasks, day, { kind });
  return writeSheet(visit, machine, noFacts(machine.id), 20);
}

const starts = (line: SheetLine): boolean =>
  line.kind === 'state' && /start the engine|run the engine|the engine runs/.test(line.text);
const stateText = (line: SheetLine): string => (line.kind === 'state' ? line.text : '');
const named = (line: SheetLine, what: RegExp): string | null => what.exec(stateText(line))?.[1] ?? null;

/** The task that a line is about, or is made for: the next heading where none stands above it in the task itself. */
function taskAt(machine: Machine, lines: readonly SheetLine[], at: number): Task | undefined {
  const next = lines.slice(at + 1).find((line) => line.kind === 'task' || line.kind === 'step');
  return next?.kind === 'task' ? machine.tasks.find(({ id }) => id === next.task) : undefined;
}

type Rule = (machine: Machine, sheet: Sheet) => void;

const guardsOn: Rule = (machine, { lines }) => {
  const off = new Set<string>();
  for (const [at, line] of lines.entries()) {
    const opened = named(line, /^Open or take off: (.*?)\./);
    const closed = named(line, /^Refit and fasten: (.*?)\./);
    if (opened !== null) off.add(opened.replaceAll(' ', '-'));
    if (closed !== null) off.delete(closed.replaceAll(' ', '-'));
    if (!starts(line)) continue;
    const needs = taskAt(machine, lines, at)?.needs;
    const wantedOff = needs?.engine === 'running' || needs?.engine === 'brief' ? (needs.covers ?? []) : [];
    expect([...off].filter((cover) => !wantedOff.includes(cover))).toEqual([]);
  }
  expect([...off]).toEqual([]);
};

const closedAtOnce: Rule = (machine, { lines }) => {
  const headings = lines.flatMap((line) => (line.kind === 'task' ? [line.task] : []));
  for (const [at, id] of headings.entries()) {
    const task = machine.tasks.find((candidate) => candidate.id === id);
    for (const { task: closer } of (task?.leadsTo ?? []).filter((next) => next.at === 'once')) {
      const between = headings.slice(at + 1, headings.indexOf(closer));
      expect(headings.indexOf(closer)).toBeGreaterThan(at);
      const waitedFor = machine.tasks.find((candidate) => candidate.id === closer)?.after ?? [];
      expect(between.filter((other) => !waitedFor.includes(other))).toEqual([]);
    }
  }
  const handTight = lines.findIndex((line) => line.kind === 'step' && /hand-tight/.test(line.text));
  if (handTight < 0) return;
  expect(headings[headings.indexOf('front-wheel-bearings') + 1]).toBe('wheel-bolts');
};

const batteryInOrder: Rule = (machine, { lines, visit }) => {
  const layUp = machine.tasks.find(({ leadsTo = [] }) =>
    leadsTo.some(({ at, task }) => at === 'return' && visit.tasks.includes(task)),
  );
  let isOn = layUp?.steps.some(({ needs }) => needs?.battery === 'disconnected') !== true;
  for (const line of lines) {
    if (stateText(line).startsWith('Disconnect the battery: negative lead first')) {
      expect(isOn).toBe(true);
      isOn = false;
    }
    if (stateText(line).startsWith('Connect the battery')) {
      expect(stateText(line)).toMatch(/negative lead last/);
      expect(isOn).toBe(false);
      isOn = true;
    }
    if (starts(line)) expect(isOn).toBe(true);
    // The order of the leads is said where the state changes, and nowhere twice.
    if (line.kind === 'step') expect(line.text).not.toMatch(/negative|leads on\b/);
  }
  const laysUp = visit.tasks.some((id) =>
    machine.tasks.some((task) => task.id === id && task.steps.some(({ needs }) => needs?.battery === 'disconnected')),
  );
  expect(isOn).toBe(!laysUp);
};

const coolantCold: Rule = (_, { lines }) => {
  let isHot = false;
  for (const [at, line] of lines.entries()) {
    if (starts(line) && !/only for a moment/.test(stateText(line))) isHot = true;
    if (/cold to the touch/.test(stateText(line))) isHot = false;
    const opens = line.kind === 'step' && /\bcoolant level\b|cap off cold|Open the cap cold/.test(line.text);
    if (!opens || !isHot) continue;
    expect(line.text).toMatch(/only once the engine is cold/);
    const near = JSON.stringify(lines.slice(at - 1, at + 1));
    expect(near).toMatch(/hot-radiator-cap|hot radiator cap/);
  }
};

const fuelCold: Rule = (machine, { lines }) => {
  let isHot = false;
  let heading = '';
  const unlooked = new Set<string>();
  for (const line of lines) {
    if (line.kind === 'task') {
      heading = line.task;
      const task = machine.tasks.find(({ id }) => id === heading);
      const opens = (task?.parts ?? []).some(({ name }) => /fuel|strainer cup/.test(name));
      if (opens) unlooked.add(task?.title ?? '');
    }
    if (line.kind === 'step' && line.text.includes('look for drips')) {
      for (const title of unlooked) if (line.text.includes(title)) unlooked.delete(title);
    }
    if (starts(line)) {
      expect([...unlooked]).toEqual([]);
      if (!/only for a moment/.test(stateText(line))) isHot = true;
    }
    if (/cold to the touch/.test(stateText(line))) isHot = false;
    if (
      line.kind === 'step' &&
      /float bowl|petrol (out|in)|petrol into|(?<!oil )tank emptied|fuel in,|full, cap/i.test(line.text)
    ) {
      expect(isHot).toBe(false);
      expect(line.text).not.toMatch(/marked can/);
    }
    if (line.kind === 'step' && line.text.includes('plug back in'))
      expect(line.text).toMatch(/lead (held|tied) well clear/);
  }
  expect([...unlooked]).toEqual([]);
};

const leaksBeforeLayingUp: Rule = (machine, { lines }) => {
  const headings = lines.flatMap((line, at) => (line.kind === 'task' ? [{ at, task: line.task }] : []));
  const layUps = headings.filter(({ task }) =>
    machine.tasks.some((one) => one.id === task && one.group === 'storage' && !isWayBack(one)),
  );
  for (const [at, line] of lines.entries()) {
    if (line.kind !== 'step' || !/look for leaks at every place/.test(line.text)) continue;
    for (const layUp of layUps) {
      expect(layUp.at).toBeGreaterThan(at);
      expect(line.text).not.toContain(machine.tasks.find(({ id }) => id === layUp.task)?.title ?? 'none');
    }
  }
};

const textOf = (line: SheetLine): string => (line.kind === 'step' ? line.text : '');

/** A start before anybody looked is how a cracked blade or a loose guard flies off. */
const lookedAtBeforeRun: Rule = (_, { lines, visit }) => {
  if (!visit.tasks.some((id) => id === 'stop-switch' || id === 'spring-return')) return;
  if (!lines.some((line) => line.kind === 'measurement' && line.measurement.id === 'stop-works')) return;
  const looked = lines.findIndex((line) => /look at cutter, blades or chain/.test(textOf(line)));
  expect(looked).toBeGreaterThanOrEqual(0);
  expect(lines.findIndex(starts)).toBeGreaterThan(looked);
};

/** Fuel that is let in again shows at once whether a joint drips, and only then can it be wiped and closed again. */
const dripsWhereFuelIsLetIn: Rule = (_, { lines }) => {
  for (const line of lines) if (/tap open|clamp off/.test(textOf(line))) expect(textOf(line)).toMatch(/look for drips/);
};

/** A brake that was just set is tried where the machine can roll out, and only then on a slope; no trial is asked for twice. */
const levelBeforeSlope: Rule = (_, { lines }) => {
  for (const [at, line] of lines.entries()) {
    if (line.kind !== 'step' || !/onto a gentle slope/i.test(line.text)) continue;
    const own = lines.filter((other) => 'task' in other && other.task === line.task);
    expect(textOf(lines[at - 1] ?? line)).toMatch(/slow trial on level ground/);
    expect(JSON.stringify(own).match(/slow trial on level/gi)).toHaveLength(
      JSON.stringify(own).includes('"brake-trial"') ? 2 : 1,
    );
  }
};

/** A protective switch that does not trip is to be known before anything hangs on the sockets. */
const switchBeforeLoad: Rule = (_, { lines }) => {
  const test = lines.findIndex((line) => line.kind === 'measurement' && line.measurement.id === 'switch-trips');
  const load = lines.findIndex((line) => /^A heater of about half/.test(textOf(line)));
  if (test >= 0 && load >= 0) expect(load).toBeGreaterThan(test);
};

const rules: readonly (readonly [string, Rule])[] = [
  ['no guard or cover is off when the engine starts, unless the job wants it off, nor at the end', guardsOn],
  ['what leaves something open is followed at once by what closes it: wheels by their torque', closedAtOnce],
  ['the battery goes off and on in turn, is on before any start, and its leads are named once', batteryInOrder],
  ['coolant is read and its cap opened only on a cold engine', coolantCold],
  ['fuel is opened on a cold engine only, and looked at for drips before the next start', fuelCold],
  ['leaks are looked for before the machine is laid up, never with emptied tanks', leaksBeforeLayingUp],
  ['a hand tool is looked at, with its plug lead off, before it is run', lookedAtBeforeRun],
  ['where fuel is let in again, drips are looked for in the same step', dripsWhereFuelIsLetIn],
  ['a brake is tried on the level before it is tried on a slope, and each once', levelBeforeSlope],
  ['a protective switch is tried before anything is plugged in', switchBeforeLoad],
];

describe.each(libraryPlans().flatMap((name) => machinesOf(name).map((machine) => ({ name: machine.name, machine }))))(
  'every sheet of $name',
  ({ machine }) => {
    const sheets = visitsOf(machine).map(({ what, ids, kind }) => ({ what, sheet: sheetOf(machine, ids, kind) }));

    test.each(rules)('%s', (_, rule) => {
      for (const { what, sheet } of sheets) {
        try {
          rule(machine, sheet);
        } catch (fault) {
          throw new Error(`visit: ${what}`, { cause: fault });
        }
      }
    });
  },
);

test('the rules are put to work: library sheets have covers, batteries, coolant, fuel and wheels', () => {
  const texts = libraryPlans()
    .flatMap((name) => machinesOf(name).slice(0, 1))
    .flatMap((machine) => {
      const { lines } = sheetOf(
        machine,
        machine.tasks.map(({ id }) => id),
        'service',
      );
      return lines.flatMap((line) => ('text' in line ? [line.text] : []));
    })
    .join('\n');
  for (const wanted of [
    /Refit and fasten/,
    /Disconnect the battery/,
    /hand-tight/,
    /coolant level/,
    /look for drips/,
    /look at cutter, blades or chain/,
    /tap open/,
    /onto a gentle slope/i,
    /A heater of about half/,
  ]) {
    expect(texts).toMatch(wanted);
  }
});

/** The lines of one job alone, on the first machine of a plan that has it, as text. */
function jobAlone(plan: string, task: string): readonly string[] {
  const machine = machinesOf(plan).find(({ tasks }) => tasks.some(({ id }) => id === task));
  if (machine === undefined) throw new Error(`no machine has ${task}`);
  return sheetOf(machine, [task], 'service').lines.flatMap((line) => {
    if (line.kind === 'measurement') return [line.measurement.name];
    return 'text' in line ? [line.text] : [];
  });
}

test('the parking brake is tried with the engine stopped by a step of its own, and what follows knows that it is off', () => {
  const lines = jobAlone('compact-diesel-tractor', 'brake-pedal');
  const onto = lines.findIndex((text) => text.startsWith('Onto a gentle slope'));
  const stopped = lines.findIndex((text, at) => at > onto && text.startsWith('Stop the engine'));
  const tried = lines.indexOf('parking brake on a gentle slope');
  expect(onto).toBeGreaterThan(0);
  expect(stopped).toBeGreaterThan(onto);
  expect(tried).toBeGreaterThan(stopped);

  const [machine] = machinesOf('compact-diesel-tractor');
  if (machine === undefined) throw new Error('no tractor');
  const { lines: more } = sheetOf(machine, ['brake-pedal', 'steering-play'], 'service');
  const play = more.findIndex((line) => line.kind === 'task' && line.task === 'steering-play');
  const test = more.findIndex((line) => line.kind === 'measurement' && line.measurement.id === 'parking-brake-holds');
  if (play > test) expect(more.slice(test).some(starts)).toBe(true);
});

test('a mower is pushed against its brake with its chocks away, and they are back before anything else', () => {
  const lines = jobAlone('ride-on-petrol-mower', 'brake');
  const pushed = lines.findIndex((text) => /push the mower by hand/.test(text));
  expect(lines[pushed]).toMatch(/chocks away/);
  expect(lines.slice(lines.indexOf('brake')).some((text) => /Drive engaged again, chocks back/.test(text))).toBe(true);
});

test('hedge blades run for a moment after their bolts were turned, and are looked at before it', () => {
  const lines = jobAlone('small-petrol-engine-tool', 'hedge-blades');
  const bolts = lines.findIndex((text) => text.startsWith('Blade bolts one by one'));
  const look = lines.findIndex((text, at) => at > bolts && /Look along both blades/.test(text));
  const run = lines.findIndex((text, at) => at > bolts && /the engine runs only for a moment/.test(text));
  expect(bolts).toBeGreaterThan(0);
  expect(look).toBeGreaterThan(bolts);
  expect(run).toBeGreaterThan(look);
});
