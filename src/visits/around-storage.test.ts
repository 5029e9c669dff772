import { describe, expect, test } from 'vitest';
import { aDay, atDay, someFacts, someHousehold, someMachine, someTask } from '../../tests/stage/small-machine.js';
import { addDays, addMonths } from '../domain/day.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import { forecastDues } from '../forecast/due.js';
import { planVisits } from './plan-visits.js';

/** First frost on 5 November and last frost on 20 April in the north; half a year on in the south. */
const homes = {
  north: someHousehold({ frost: { first: '11-05', last: '04-20' } }),
  south: someHousehold({ hemisphere: 'south', frost: { first: '05-05', last: '10-20' } }),
} as const;

const tasks = [
  someTask('oil', { every: { months: 12 } }),
  someTask('tyres', { every: { months: 2 } }),
  someTask('into', { season: { before: 'first-frost', days: 12 }, leadsTo: [{ task: 'back', at: 'return' }] }),
  someTask('back', { season: { before: 'last-frost', days: 21 } }),
];
const mower = someMachine(tasks);

function plan(facts: MachineFacts, day: string, household: Household, machine = mower) {
  const nowMs = atDay(day);
  const dues = forecastDues(machine, facts, null, household, nowMs);
  return { dues, visits: planVisits(machine, facts, dues, household, nowMs) };
}

const dayWith = (task: string, visits: ReturnType<typeof plan>['visits']) =>
  visits.find((visit) => visit.tasks.includes(task))?.day ?? '';

describe.each([
  // What falls so many months later in the south falls in its own winter.
  ['north', 0],
  ['south', 6],
] as const)('a machine laid up for the winter of the %s', (hemisphere, shift) => {
  const home = homes[hemisphere];
  const moved = (day: string) => addMonths(aDay(day), shift);
  const done = (day: string, ...names: string[]) => [moved(day), null, names] as const;

  test('has no work between laying up and its way back, planned or recorded', () => {
    const before = someFacts([], [done('2030-09-20', 'oil', 'tyres'), done('2030-04-10', 'back')]);
    const planned = plan(before, moved('2030-10-02'), home).visits;
    const [into, back] = [dayWith('into', planned), dayWith('back', planned)];
    expect(into < back).toBe(true);
    for (const { day } of planned)
      expect(day <= into || day >= back, `${day} lies between ${into} and ${back}`).toBe(true);
    const stored = someFacts([], [done('2030-09-20', 'oil', 'tyres'), done('2030-10-26', 'into')]);
    for (const day of ['2030-10-30', '2030-12-24', '2031-03-04']) {
      const { visits } = plan(stored, moved(day), home);
      expect(visits[0]?.day, day).toBe(dayWith('back', visits));
    }
  });

  test('has what came due in storage done with its return, which says so, and never late', () => {
    const stored = someFacts([], [done('2030-09-20', 'oil', 'tyres'), done('2030-10-26', 'into')]);
    const { dues, visits } = plan(stored, moved('2031-02-01'), home);
    const tyres = dues.find((due) => due.task === 'tyres');
    expect(tyres?.calendarDay).toBe(moved('2030-11-20'));
    expect(dayWith('tyres', visits)).toBe(dayWith('back', visits));
    const visit = visits.find((one) => one.tasks.includes('tyres'));
    expect(visit).toMatchObject({ cause: { kind: 'stored' }, pLate: 0 });
    const back = [
      ...stored.records,
      ...someFacts([], [done('2031-03-29', 'back')]).records.map((r) => ({ ...r, id: 'b' })),
    ];
    const after = plan({ ...stored, records: back }, moved('2031-03-31'), home).visits.find((v) =>
      v.tasks.includes('tyres'),
    );
    expect(after?.pLate).toBe(0);
    expect(after !== undefined && after.day <= addDays(moved('2031-03-31'), 7)).toBe(true);
  });

  test('has long-lived work that comes due soon after laying up done then', () => {
    const facts = someFacts([], [done('2029-11-10', 'oil'), done('2030-09-20', 'tyres'), done('2030-04-10', 'back')]);
    const { visits } = plan(facts, moved('2030-10-02'), home);
    expect(dayWith('oil', visits)).toBe(dayWith('into', visits));
  });

  test('is not taken for laid up once it was run', () => {
    const stored = someFacts([], [done('2030-09-20', 'oil', 'tyres'), done('2030-10-26', 'into')]);
    const ran = { ...stored, toldRuns: [{ id: 't', atMs: atDay(moved('2030-12-01')), minutes: 90, by: 'wen' }] };
    const { visits } = plan(ran, moved('2030-12-10'), home);
    expect(dayWith('tyres', visits) < dayWith('back', visits)).toBe(true);
  });

  test('a storage left out this time lays nothing up', () => {
    const facts = someFacts([], [done('2030-09-20', 'oil', 'tyres')]);
    const leftOut = {
      kind: 'leave-out',
      tasks: ['into'],
      day: moved('2030-10-20'),
      hours: null,
      atMs: atDay(moved('2030-10-20')),
    } as const;
    const { visits } = plan({ ...facts, answers: [leftOut] }, moved('2030-11-02'), home);
    expect(dayWith('tyres', visits) < dayWith('back', visits)).toBe(true);
  });
});

test('a way back that nobody records keeps its work with it, not late, until it is done', () => {
  const stored = someFacts(
    [],
    [
      ['2030-09-20', null, ['oil', 'tyres']],
      ['2030-10-26', null, ['into']],
    ],
  );
  const { visits } = plan(stored, '2031-05-08', homes.north);
  const visit = visits.find((one) => one.tasks.includes('tyres'));
  expect(visit?.day).toBe(dayWith('back', visits));
  expect(visit?.pLate).toBeLessThanOrEqual(1);
  expect(visits[0]?.tasks).toContain('back');
});

test('what the configuration says was done is laid up only where the way back was not done since or that day', () => {
  const told = (day: string) => ({ kind: 'done', day: aDay(day) }) as const;
  const last = { oil: told('2030-09-20'), tyres: told('2030-09-20'), into: told('2030-10-26') };
  const stored = plan(someFacts([]), '2030-11-02', homes.north, someMachine(tasks, { last })).visits;
  expect(dayWith('tyres', stored)).toBe(dayWith('back', stored));
  const both = someMachine(tasks, { last: { ...last, back: told('2030-10-26') } });
  const { visits } = plan(someFacts([]), '2030-11-02', homes.north, both);
  expect(dayWith('tyres', visits) < dayWith('back', visits)).toBe(true);
});

test('a machine without a way back in its plan is worked on all winter', () => {
  const tractor = someMachine(tasks.map(({ leadsTo: _leadsTo, ...task }) => task));
  const facts = someFacts(
    [],
    [
      ['2030-09-20', null, ['oil', 'tyres']],
      ['2030-10-26', null, ['into']],
    ],
  );
  const { visits } = plan(facts, '2030-11-02', homes.north, tractor);
  expect(dayWith('tyres', visits) <= '2030-11-20').toBe(true);
});
