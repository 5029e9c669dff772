import fc from 'fast-check';
import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts, wednesday } from '../../tests/stage/visit-scene.js';
import type { MachineFacts } from '../domain/facts.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import type { Visit } from '../domain/results/visit.js';
import { planVisits } from './plan-visits.js';
import { isWorkingDay } from './working-days.js';

interface Case {
  readonly dues: readonly Due[];
  readonly machine?: Partial<Machine>;
  readonly facts?: Partial<MachineFacts>;
  readonly household?: Partial<Household>;
  readonly nowMs?: number;
  readonly tasks?: Machine['tasks'];
}

function plan({ dues, machine, facts, household, nowMs, tasks }: Case): Visit[] {
  const all = tasks ?? dues.map((due) => aTask(due.task));
  return planVisits(aMachine(all, machine), someFacts(facts), dues, aHousehold(household), nowMs ?? at(0));
}

function announced(id: string, tasks: readonly string[], day: number, days = -1): MachineFacts['visits'][number] {
  return { id, tasks, day: inDays(day), revision: 1, announcedAtMs: at(days), state: 'open' };
}

const filter = { name: 'filter', quantity: 1, leadDays: 7 };
const arbitraryDues = fc
  .array(
    fc.record({
      median: fc.integer({ min: -100, max: 900 }),
      spread: fc.integer({ min: 1, max: 200 }),
      tolerance: fc.integer({ min: 0, max: 60 }),
      intervalDays: fc.integer({ min: 20, max: 1200 }),
    }),
    { minLength: 1, maxLength: 14 },
  )
  .map((specs) => specs.map(({ median, ...rest }, i) => aDue(`task-${i}`, median, rest)));

test('every task due within two years stands in exactly one visit, on a working day, and no other does', () => {
  fc.assert(
    fc.property(
      arbitraryDues,
      fc.integer({ min: 0, max: 13 }),
      fc.constantFrom('06:00', '11:00', '20:00'),
      (dues, day, time) => {
        const visits = plan({ dues, nowMs: at(day, time) });
        for (const visit of visits) {
          expect(isWorkingDay(visit.day, aHousehold())).toBe(true);
          expect(visit.day >= inDays(day)).toBe(true);
          expect(visit.tasks).toContain(visit.leadTask);
          expect(visit.pLate).toBeGreaterThanOrEqual(0);
          expect(visit.pLate).toBeLessThanOrEqual(1);
        }
        const within = dues
          .filter((due) => due.day !== null && due.day.p50 <= inDays(day + 730))
          .map((due) => due.task);
        expect(visits.flatMap((visit) => visit.tasks).sort()).toEqual([...within].sort());
        expect(new Set(visits.map((visit) => visit.id)).size).toBe(visits.length);
      },
    ),
    { numRuns: 60 },
  );
});

test('planning again with what was announced gives the same ids, days and tasks', () => {
  fc.assert(
    fc.property(arbitraryDues, (dues) => {
      const first = plan({ dues });
      const visits = first.map((visit) => ({ ...announced(visit.id, visit.tasks, 0), day: visit.day }));
      const again = plan({ dues, facts: { visits } });
      const shape = (v: Visit) => [v.id, v.day, v.tasks];
      expect(again.map(shape)).toEqual(first.map(shape));
      expect(again.every((visit) => visit.announced && visit.revision === 1)).toBe(true);
    }),
    { numRuns: 40 },
  );
});

test('a yearly task is proposed shortly before it is due', () => {
  const [visit] = plan({ dues: [aDue('oil', 100)] });
  expect(visit?.id).toBe('orchard-mower-oil-2');
  expect(visit?.day && visit.day > inDays(70) && visit.day <= inDays(100)).toBe(true);
  expect(visit?.due).toEqual({ p10: inDays(92), p50: inDays(100), p90: inDays(108) });
});

test('a task that is long overdue is proposed for the next working day', () => {
  expect(plan({ dues: [aDue('oil', -90)] })[0]?.day).toBe(inDays(3));
});

test('tasks due within a few weeks of each other make one visit; tasks half a year apart make two', () => {
  expect(plan({ dues: [aDue('oil', 60), aDue('filter', 75)] })).toHaveLength(1);
  expect(plan({ dues: [aDue('oil', 60), aDue('filter', 240)] })).toHaveLength(2);
});

test('a task clearly before its time in a shared visit is named as pulled forward', () => {
  const [visit] = plan({ dues: [aDue('oil', 60, { spread: 5 }), aDue('belt', 100, { spread: 5 })] });
  expect(visit).toMatchObject({ tasks: ['oil', 'belt'], leadTask: 'oil', pulledForward: ['belt'] });
});

test('changing the oil leads the visit, not the look that comes due beside it', () => {
  const tasks = [
    aTask('belt-look', { minutes: 5 }),
    aTask('oil', { fluids: [{ name: 'engine oil', quantity: '1.4 L' }] }),
    aTask('filter', { parts: [filter] }),
  ];
  const dues = [aDue('belt-look', 58), aDue('oil', 60), aDue('filter', 60)];
  expect(plan({ tasks, dues })[0]?.leadTask).toBe('oil');
  expect(plan({ tasks, dues: [aDue('belt-look', 40), aDue('oil', 60)] })[0]?.leadTask).toBe('belt-look');
});

test('work below the same cover is done early to save taking it off again, and says so', () => {
  const needs = { covers: ['side-panel'], raised: 'front' as const };
  const dues = [aDue('belt', 60, { spread: 5 }), aDue('chain', 150, { spread: 5 })];
  const apart = plan({ dues });
  const shared = plan({ dues, tasks: dues.map(({ task }) => aTask(task, { needs })) });
  expect(apart).toHaveLength(2);
  expect(shared).toHaveLength(1);
  expect(shared[0]?.early).toMatchObject([{ task: 'chain', saves: { kind: 'raised', name: 'front' } }]);
  expect(shared[0]?.pulledForward).toEqual(['chain']);
});

test('tasks come in the order of the plan, each after those it names', () => {
  const tasks = [aTask('refill', { after: ['drain'] }), aTask('drain'), aTask('wash')];
  const [visit] = plan({ dues: tasks.map((t) => aDue(t.id, 60)), tasks });
  expect(visit?.tasks).toEqual(['drain', 'refill', 'wash']);
});

test('minutes are those of the tasks and of setting up', () => {
  expect(plan({ dues: [aDue('oil', 60), aDue('filter', 60)] })[0]?.minutes).toBe(80);
});

test('work that the dealer does is a visit of its own, without shopping', () => {
  const tasks = [aTask('oil'), aTask('valves', { by: 'dealer', parts: [filter] })];
  const visits = plan({ dues: [aDue('oil', 60), aDue('valves', 60)], tasks });
  expect(visits.map((v) => [v.by, v.tasks, v.shopping.length]).sort()).toEqual([
    ['dealer', ['valves'], 0],
    ['owner', ['oil'], 0],
  ]);
});

test('checks before each use and tasks without a due date are in no visit', () => {
  expect(
    plan({ dues: [aDue('look', 10, { limit: 'use' }), aDue('odd', 10, { day: null, curve: null, lateCurve: null })] }),
  ).toEqual([]);
});

test('a machine that is gone has no visits, nor one that rests without an end', () => {
  expect(plan({ dues: [aDue('oil', 60)], machine: { gone: true } })).toEqual([]);
  expect(plan({ dues: [aDue('oil', 60)], machine: { resting: { from: inDays(-5) } } })).toEqual([]);
});

test('what falls into a rest comes after it', () => {
  const resting = { from: inDays(40), until: inDays(120) };
  const [visit] = plan({ dues: [aDue('oil', 80)], machine: { resting } });
  expect(visit?.day && visit.day > resting.until).toBe(true);
});

test('the parts are here by the proposed day, and they are ordered in time', () => {
  const tasks = [aTask('oil', { parts: [{ ...filter, leadDays: 20 }] })];
  const [visit] = plan({ dues: [aDue('oil', -30)], tasks });
  expect(visit?.day && visit.day >= inDays(21)).toBe(true);
  expect(visit?.buyBy && visit.buyBy >= wednesday).toBe(true);
});

test('once the parts were told of, the day does not run away from them', () => {
  const tasks = [aTask('oil', { parts: [filter] })];
  const notice = {
    id: 'n',
    message: 'm',
    kind: 'parts',
    visit: 'x',
    tasks: ['oil'],
    to: 'ines',
    atMs: at(-6),
    proposedDay: null,
  } as const;
  const [visit] = plan({ dues: [aDue('oil', -30)], tasks, facts: { sent: [notice] } });
  expect(visit?.day).toBe(inDays(3));
});

test('a visit that comes before the day for which its parts were asked for says so, as long as they are missing', () => {
  const tasks = [aTask('oil', { parts: [filter] })];
  const told = (proposedDay: number, days = -6) =>
    ({
      id: 'n',
      message: 'm',
      kind: 'parts',
      visit: 'x',
      tasks: ['oil'],
      to: 'ines',
      atMs: at(days),
      proposedDay: inDays(proposedDay),
    }) as const;
  const planned = (facts: Partial<MachineFacts>) => plan({ dues: [aDue('oil', -30)], tasks, facts })[0];
  expect(planned({ sent: [told(11)] })).toMatchObject({ day: inDays(3), forwardFrom: inDays(11) });
  expect(planned({ sent: [told(3)] })).not.toHaveProperty('forwardFrom');
  // The newest word counts: by it the day is known.
  expect(planned({ sent: [told(11, -8), told(3)] })).not.toHaveProperty('forwardFrom');
  expect(planned({ sent: [told(11)], stock: { filter: 1 } })).not.toHaveProperty('forwardFrom');
  expect(planned({})).not.toHaveProperty('forwardFrom');
});

test('with everything in stock nothing waits and nothing is to buy', () => {
  const tasks = [aTask('oil', { parts: [filter] })];
  const [visit] = plan({ dues: [aDue('oil', -30)], tasks, facts: { stock: { filter: 1 } } });
  expect(visit).toMatchObject({ day: inDays(3), buyBy: null });
});

test('everything of unknown past makes one visit, soon but not tomorrow, never late', () => {
  const unknown = (task: string) => aDue(task, 0, { unknownLast: true, cycle: 0 });
  const visits = plan({ dues: [unknown('oil'), unknown('belt'), aDue('blade', 200)], nowMs: at(2) });
  const first = visits.find((v) => v.kind === 'getting-to-know');
  // The third day on is a Saturday, but on that Friday it would be tomorrow.
  expect(first).toMatchObject({ tasks: ['oil', 'belt'], day: inDays(4), pLate: 0, pulledForward: [] });
  expect(visits.filter((v) => v.kind === 'getting-to-know')).toHaveLength(1);
});

test('the dealer’s part of getting to know a machine comes weeks after the owner’s own look, and never first', () => {
  const unknown = (task: string) => aDue(task, 0, { unknownLast: true, cycle: 0 });
  const tasks = [aTask('valves', { by: 'dealer' }), aTask('oil'), aTask('belt')];
  const visits = plan({ dues: [unknown('valves'), unknown('oil'), unknown('belt')], tasks });
  expect(visits[0]?.day).toBe(inDays(3));
  expect(visits.map((visit) => visit.by)).toEqual(['owner', 'dealer']);
  expect(visits[1]?.day && visits[1].day >= inDays(3 + 21)).toBe(true);
  const [alone] = plan({ dues: [unknown('valves')], tasks });
  expect(alone?.day && alone.day >= inDays(21)).toBe(true);
});

test('a dealer booked for a first look stays booked while the owner’s own look is put off, and comes after it next time', () => {
  const unknown = (task: string) => aDue(task, 0, { unknownLast: true, cycle: 0 });
  const tasks = [aTask('valves', { by: 'dealer' }), aTask('oil')];
  const dues = [unknown('valves'), unknown('oil')];
  const facts = {
    visits: [announced('orchard-mower-oil-1', ['oil'], 3), announced('orchard-mower-valves-1', ['valves'], 24)],
  };
  const dealerAt = (nowMs: number) => plan({ dues, tasks, facts, nowMs }).find((visit) => visit.by === 'dealer')?.day;
  expect(dealerAt(at(5))).toBe(inDays(24));
  expect(dealerAt(at(25))).toBe(inDays(52));
});

test('a first look that was done in part keeps its id and holds the rest, also when the task it is named for is done', () => {
  const unknown = ['oil', 'belt', 'plug', 'hose'].map((task) => aDue(task, 0, { unknownLast: true, cycle: 0 }));
  const [look] = plan({ dues: unknown });
  const rest = unknown.slice(2);
  const done = ['oil', 'belt'].map((task) => aDue(task, 300, { lastDay: inDays(3), cycle: 1 }));
  const visits = [{ ...announced(look?.id ?? '', ['oil', 'belt', 'plug', 'hose'], 0), day: inDays(3) }];
  const next = plan({ dues: [...done, ...rest], facts: { visits }, nowMs: at(4) }).find(
    (visit) => visit.kind === 'getting-to-know',
  );
  expect(next).toMatchObject({ id: look?.id, tasks: ['plug', 'hose'] });
});

test('"ask me on" moves the visit to that day or later and says so', () => {
  const answer = { kind: 'ask-on', tasks: ['oil'], day: inDays(30), atMs: at(-1) } as const;
  const [visit] = plan({ dues: [aDue('oil', 5, { lastDay: inDays(-360) })], facts: { answers: [answer] } });
  expect(visit?.askOn).toBe(inDays(30));
  expect(visit?.day).toBe(inDays(31));
});

test('an announced visit keeps its id when another task leads the group now', () => {
  const visits = [announced('orchard-mower-oil-2', ['oil', 'belt'], 52)];
  const [visit] = plan({ dues: [aDue('oil', 75), aDue('belt', 60)], facts: { visits } });
  expect(visit).toMatchObject({ id: 'orchard-mower-oil-2', announced: true, leadTask: 'oil' });
});

test('an announced day stays while another is hardly better, and moves when it clearly is', () => {
  const day = plan({ dues: [aDue('oil', 100)] })[0]?.day ?? wednesday;
  const visits = [{ ...announced('orchard-mower-oil-2', ['oil'], 0), day }];
  expect(plan({ dues: [aDue('oil', 105)], facts: { visits } })[0]?.day).toBe(day);
  const moved = plan({ dues: [aDue('oil', 160)], facts: { visits } })[0];
  expect(moved?.id).toBe('orchard-mower-oil-2');
  expect(moved?.day && moved.day > day).toBe(true);
});

test('on its day an announced visit stays all day; the day after it moves on', () => {
  const facts = { visits: [announced('orchard-mower-oil-2', ['oil'], 3)] };
  expect(plan({ dues: [aDue('oil', 0)], facts, nowMs: at(3, '20:00') })[0]?.day).toBe(inDays(3));
  expect(plan({ dues: [aDue('oil', 0)], facts, nowMs: at(4, '08:00') })[0]?.day).toBe(inDays(10));
});

test('a visit that was confirmed in part leaves its id to what is left of it', () => {
  const record = {
    id: 'r',
    machine: 'orchard-mower',
    visit: 'orchard-mower-oil-2',
    tasks: ['oil'],
    day: inDays(0),
    hours: null,
    hoursKnown: 'unknown',
    by: null,
    door: 'page',
    note: null,
    minutes: null,
    findings: [],
    enteredAtMs: at(0, '10:00'),
  } as const;
  const facts = { visits: [announced('orchard-mower-oil-2', ['oil', 'belt'], 3)], records: [record] };
  const visits = plan({ dues: [aDue('oil', 365, { lastDay: inDays(0), cycle: 2 }), aDue('belt', 5)], facts });
  expect(visits.map((v) => [v.id, v.tasks])).toEqual([
    ['orchard-mower-oil-2', ['belt']],
    ['orchard-mower-oil-3', ['oil']],
  ]);
});

test('the id of a visit that is over is not given again', () => {
  const visits = [{ ...announced('orchard-mower-oil-2', ['oil'], -10), state: 'dropped' as const }];
  expect(plan({ dues: [aDue('oil', 5)], facts: { visits } })[0]?.id).toBe('orchard-mower-oil-2-2');
});

test('a dear mistake far out does not pull a new machine to the bench at once: doubt is met by reading first', () => {
  const [visit] = plan({ dues: [aDue('oil', 300, { spread: 290, intervalDays: 300 })] });
  expect(visit?.day && visit.day > inDays(100)).toBe(true);
});
