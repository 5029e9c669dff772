import { expect, test } from 'vitest';
import { decide, kindsOf, live, type Scene } from '../../tests/stage/told.js';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts, written } from '../../tests/stage/visit-scene.js';
import { dayMs, dayOf, hourMs, parseInstant, parseTimeOfDay, parseZone, timeOfDayAt } from '../domain/day.js';
import type { SentNotice } from '../domain/facts.js';
import { meterHours } from '../domain/meter-hours.js';
import { planVisits } from '../visits/plan-visits.js';
import { decideMessages } from './decide.js';
import { momentAt, speakingInstants } from './speaking-times.js';

const { zone } = aHousehold();
const overdue = aDue('oil', -3, { tolerance: 200 });
const filter = { name: 'filter', quantity: 1, leadDays: 7 };
const time = parseTimeOfDay;

test('a household without people is spoken to by nobody, and the next look stays within a week', () => {
  const { messages, nextLookMs } = decide({ dues: [overdue], household: { people: [] } }, at(2, '18:30'));
  expect(messages).toEqual([]);
  expect(nextLookMs - at(2, '18:30')).toBeLessThanOrEqual(7 * dayMs);
});

test('a person who wants to hear of nothing hears nothing, of questions alone no call to work', () => {
  const person = (heard: readonly ('reading' | 'late')[]) => ({ people: [{ id: 'ines', name: 'Inês', kinds: heard }] });
  expect(live({ dues: [overdue], household: person([]) }, at(0), 60)).toEqual([]);
  expect(live({ dues: [overdue], household: person(['reading']) }, at(0), 60)).toEqual([]);
});

test('where everybody is told only after others, late work is still told to somebody', () => {
  const people = [
    { id: 'ines', name: 'Inês', secondAfterDays: 7 },
    { id: 'rui', name: 'Rui', secondAfterDays: 14 },
  ];
  expect(live({ dues: [aDue('oil', -90)], household: { people } }, at(0), 30).length).toBeGreaterThan(0);
});

test('years of days off bring no message and no endless search', () => {
  const daysOff = [{ from: inDays(-400), to: inDays(4000) }];
  const scene: Scene = { dues: [overdue], tasks: [aTask('oil', { parts: [filter] })], household: { daysOff } };
  expect(live(scene, at(0), 60)).toEqual([]);
});

test('a household that names no working days is told on any evening', () => {
  const said = live({ dues: [overdue], household: { workingDays: [] } }, at(0), 3);
  expect(kindsOf(said.map(({ message }) => message))).toEqual(['work']);
});

test('quiet hours over evening and morning leave the minutes that they leave', () => {
  const quiet = { from: time('12:01'), to: time('12:00') };
  const said = live({ dues: [overdue], household: { quiet } }, at(0, '00:00'), 20);
  expect(said.length).toBeGreaterThan(0);
  for (const { atMs } of said) expect(timeOfDayAt(atMs, zone)).toBe('12:00');
});

test('quiet hours that begin with the evening put its message off to the morning', () => {
  const said = live({ dues: [overdue], household: { evening: time('21:30') } }, at(0), 5);
  expect(said.map(({ atMs }) => [dayOf(atMs, zone), timeOfDayAt(atMs, zone)])).toEqual([[inDays(3), '07:00']]);
});

test.each([
  ['Europe/Lisbon', '2031-03-30', '01:30'],
  ['Europe/Lisbon', '2031-10-26', '01:30'],
  ['America/Santiago', '2031-09-07', '00:30'],
  ['America/Havana', '2031-03-09', '00:00'],
  ['Australia/Lord_Howe', '2031-10-05', '02:15'],
])('in %s on %s, whose clocks change, quiet hours that end at %s end, once', (name, day, ends) => {
  const household = aHousehold({ zone: parseZone(name), quiet: { from: time('22:00'), to: time(ends) } });
  const from = parseInstant(`${day}T00:00:00Z`, household.zone) - 26 * hourMs;
  const instants = speakingInstants(from, household, 3).filter((atMs) => atMs <= from + 3 * dayMs);
  const loud = instants.filter((atMs) => !momentAt(atMs, household).isQuiet).map((atMs) => dayOf(atMs, household.zone));
  expect(loud).toContain(day);
  // From one minute to the next: quiet hours are entered once and left once a day.
  const minutes = Array.from({ length: 60 * 24 * 3 }, (_, i) => momentAt(from + i * 60_000, household).isQuiet);
  const turns = minutes.filter((isQuiet, i) => i > 0 && isQuiet !== minutes[i - 1]).length;
  expect(turns).toBeLessThanOrEqual(7);
});

test('parts that take longer than the time left are told at once, before the work', () => {
  const slow = { name: 'belt', quantity: 1, leadDays: 60 };
  const scene: Scene = { dues: [aDue('oil', 10)], tasks: [aTask('oil', { parts: [slow] })] };
  const [first, ...others] = live(scene, at(0), 90);
  expect([kindsOf(first === undefined ? [] : [first.message]), dayOf(first?.atMs ?? 0, zone)]).toEqual([
    ['parts'],
    inDays(0),
  ]);
  expect(kindsOf(others.map(({ message }) => message))[0]).toBe('late');
  expect(others[0]?.message.notices[0]?.proposedDay).toBe(inDays(66));
});

test('“ask me on” a day that is past holds nothing back', () => {
  const answer = { kind: 'ask-on', tasks: ['oil'], day: inDays(-5), atMs: at(-20) } as const;
  const due = { ...overdue, lastDay: inDays(-200) };
  const said = live({ dues: [due], facts: { answers: [answer] } }, at(0), 5);
  expect(kindsOf(said.map(({ message }) => message))).toEqual(['work']);
});

test('“ask me on” a day off is kept on the first day after it', () => {
  const answer = { kind: 'ask-on', tasks: ['oil'], day: inDays(10), atMs: at(-1) } as const;
  const household = { daysOff: [{ from: inDays(9), to: inDays(14) }] };
  const due = { ...overdue, lastDay: inDays(-200) };
  const [first] = live({ dues: [due], facts: { answers: [answer] }, household }, at(0), 30);
  const said = dayOf(first?.atMs ?? 0, zone);
  expect(said > inDays(14)).toBe(true);
  expect(said <= inDays(18)).toBe(true);
});

test('a machine that is gone is spoken of no more', () => {
  expect(live({ dues: [overdue], machine: { gone: true } }, at(0), 30)).toEqual([]);
});

test('a machine taken out of rest is spoken of from then on, one laid up between two messages no longer', () => {
  const before = decide({ dues: [overdue] }, at(2, '18:30'));
  expect(kindsOf(before.messages)).toEqual(['work']);
  const resting = { from: inDays(5) };
  for (const days of [9, 16, 23]) {
    const scene: Scene = { dues: [overdue], machine: { resting } };
    expect(decide(scene, at(days, '18:30'), before.facts).messages).toEqual([]);
  }
  expect(kindsOf(decide({ dues: [overdue] }, at(23, '18:30'), before.facts).messages)).toEqual(['work']);
});

test('a visit that moves after its parts were told does not tell them again', () => {
  const tasks = [aTask('oil', { parts: [filter] })];
  const due = (median: number) => aDue('oil', median, { lastDay: inDays(-300) });
  const first = decide({ dues: [due(12)], tasks }, at(0, '18:30'));
  expect(kindsOf(first.messages)).toEqual(['parts']);
  for (const [days, median] of [
    [2, 30],
    [9, 18],
    [16, 45],
  ] as const) {
    const { messages } = decide({ dues: [due(median)], tasks }, at(days, '18:30'), first.facts);
    expect(kindsOf(messages)).not.toContain('parts');
  }
});

test('a service that slept for three weeks says what is due once, not for every week', () => {
  const tasks = [aTask('oil', { parts: [filter] }), aTask('belt'), aTask('blades')];
  const dues = [aDue('oil', -3, { tolerance: 60 }), aDue('belt', 1, { tolerance: 60 }), aDue('blades', 4)];
  const before = decide({ dues, tasks }, at(-1, '18:30'));
  const woken = decide({ dues, tasks }, at(23, '18:30'), before.facts);
  expect(woken.messages).toHaveLength(1);
  expect(decide({ dues, tasks }, at(23, '18:31'), woken.facts).messages).toEqual([]);
  expect(decide({ dues, tasks }, at(23, '21:00'), woken.facts).messages).toEqual([]);
});

test('a clock that goes back by a day repeats nothing', () => {
  const first = decide({ dues: [overdue] }, at(2, '18:30'));
  expect(kindsOf(first.messages)).toEqual(['work']);
  for (let minutes = 0; minutes <= 24 * 60; minutes += 30) {
    expect(decide({ dues: [overdue] }, at(1, '18:30') + minutes * 60_000, first.facts).messages).toEqual([]);
  }
});

test('a clock that goes back by a day asks no question twice', () => {
  const torn = {
    hoursQuantiles: (_: number, levels: readonly number[]) => levels.map((level) => 900 + 220 * level),
    pReachedGiven: (hours: number, _now: number, target: number) => (hours + 5 >= target ? 1 : 0),
  };
  const due = aDue('oil', 20, {
    limit: 'hours',
    targetHours: meterHours(1100),
    intervalHours: 100,
    toleranceHours: 10,
    spread: 60,
    tolerance: 5,
  });
  const readings = [{ id: 'r', atMs: at(-60), hours: 900, about: false, door: 'page' as const, by: 'ines' }];
  const scene: Scene = { dues: [due], foresight: torn };
  const first = decide(scene, at(0, '18:30'), someFacts({ readings }));
  expect(kindsOf(first.messages)).toEqual(['reading']);
  expect(kindsOf(decide(scene, at(-1, '18:30'), first.facts).messages)).not.toContain('reading');
});

test('two people with one address are two people: each is told, each once a day', () => {
  const people = [
    { id: 'ines', name: 'Inês', mail: 'home@example.org' },
    { id: 'rui', name: 'Rui', mail: 'home@example.org' },
  ];
  const { messages } = decide({ dues: [overdue], household: { people } }, at(2, '18:30'));
  expect(messages.map(({ to }) => to)).toEqual(['ines', 'rui']);
});

test('two machines that want work on one day are one message', () => {
  const household = aHousehold();
  const nowMs = at(2, '18:30');
  const outlooks = ['orchard-mower', 'hill-tractor'].map((id) => {
    const machine = { ...aMachine([aTask('oil')]), id };
    const facts = { ...someFacts(), machine: id };
    const dues = [{ ...overdue, machine: id }];
    const visits = planVisits(machine, facts, dues, household, nowMs, null);
    return { machine, facts, foresight: null, dues, visits };
  });
  const facts = { version: 1, machines: outlooks.map((one) => one.facts), householdSent: [] };
  const home = { household, machines: outlooks.map((one) => one.machine) };
  const { messages } = decideMessages({ home, facts, outlooks, nowMs });
  expect(messages.map(({ notices }) => notices.map(({ machine }) => machine))).toEqual([
    ['orchard-mower', 'hill-tractor'],
  ]);
});

test('a notice of a machine that the household no longer has silences nobody for long', () => {
  const sent: SentNotice[] = [
    {
      id: 's',
      message: 's',
      kind: 'work',
      visit: 'sold-machine-oil-1',
      tasks: ['oil'],
      to: 'ines',
      atMs: at(2, '09:00'),
      proposedDay: inDays(3),
    },
  ];
  const household = aHousehold();
  const machine = aMachine([aTask('oil')]);
  const facts = someFacts();
  const at18 = at(2, '18:30');
  const visits = planVisits(machine, facts, [overdue], household, at18, null);
  const sold = { ...someFacts(), machine: 'sold-machine', sent };
  const input = {
    home: { household, machines: [machine] },
    facts: { version: 1, machines: [facts, sold], householdSent: [] },
    outlooks: [{ machine, facts, foresight: null, dues: [overdue], visits }],
  };
  expect(decideMessages({ ...input, nowMs: at18 }).messages).toEqual([]);
  expect(decideMessages({ ...input, nowMs: at(3, '07:00') }).messages).toHaveLength(1);
  expect(written(facts, [], visits, at18).sent).toEqual([]);
});
