import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decide, kindsOf, live, sentNotice } from '../../tests/stage/told.js';
import { aDue, aHousehold, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import { dayMs, dayOf, timeOfDayAt } from '../domain/day.js';

const zone = aHousehold().zone;
const day = (atMs: number) => dayOf(atMs, zone);
const filter = { name: 'filter', quantity: 1, leadDays: 7 };
const overdue = aDue('oil', -3, { tolerance: 200 });

test('the work is said in the evening before its day, not before', () => {
  expect(decide({ dues: [overdue] }, at(2, '18:29')).messages).toEqual([]);
  const { messages } = decide({ dues: [overdue] }, at(2, '18:30'));
  expect(kindsOf(messages)).toEqual(['work']);
  expect(messages[0]?.notices[0]).toMatchObject({ to: 'ines', proposedDay: inDays(3), visit: 'orchard-mower-oil-2' });
});

test('an evening that begins within the minute after a look is not passed over', () => {
  for (const secondsBefore of [600, 61, 60, 59, 30, 1]) {
    const nowMs = at(2, '18:30') - secondsBefore * 1000;
    const { messages, nextLookMs } = decide({ dues: [overdue] }, nowMs);
    expect(messages).toEqual([]);
    expect(nextLookMs).toBe(Math.max(at(2, '18:30'), nowMs + 60_000));
  }
});

test('an evening that was missed is made up for in the morning, after the quiet hours', () => {
  expect(decide({ dues: [overdue] }, at(3, '06:30')).messages).toEqual([]);
  expect(kindsOf(decide({ dues: [overdue] }, at(3, '07:00')).messages)).toEqual(['work']);
  expect(decide({ dues: [overdue] }, at(3, '13:00')).messages).toEqual([]);
});

test('missing parts are said while they can still arrive, once', () => {
  const scene = { dues: [aDue('oil', 40, { intervalDays: 365 })], tasks: [aTask('oil', { parts: [filter] })] };
  const said = live(scene, at(0), 45);
  const parts = said.filter((s) => kindsOf([s.message]).includes('parts'));
  expect(parts).toHaveLength(1);
  const proposed = parts[0]?.message.notices[0]?.proposedDay ?? inDays(0);
  expect(day((parts[0]?.atMs ?? 0) + 8 * dayMs) <= proposed).toBe(true);
});

test('parts are said again only when the list grew', () => {
  const tasks = [
    aTask('oil', { parts: [filter] }),
    aTask('belt', { parts: [{ name: 'belt', quantity: 1, leadDays: 3 }] }),
  ];
  const told = sentNotice({ kind: 'parts', atMs: at(-1, '18:30'), proposedDay: inDays(10) });
  const facts = { sent: [told] };
  expect(decide({ dues: [aDue('oil', 10)], tasks, facts }, at(0, '19:00')).messages).toEqual([]);
  const grown = decide({ dues: [aDue('oil', 10), aDue('belt', 10)], tasks, facts }, at(0, '19:00'));
  expect(kindsOf(grown.messages)).toEqual(['parts']);
});

test('with the parts in stock nothing is said of parts', () => {
  const scene = {
    dues: [aDue('oil', 10)],
    tasks: [aTask('oil', { parts: [filter] })],
    facts: { stock: { filter: 1 } },
  };
  expect(live(scene, at(0), 14).flatMap((s) => kindsOf([s.message]))).not.toContain('parts');
});

test('deciding twice at the same instant says nothing new', () => {
  fc.assert(
    fc.property(
      fc.array(fc.record({ median: fc.integer({ min: -60, max: 60 }), tolerance: fc.integer({ min: 0, max: 40 }) }), {
        minLength: 1,
        maxLength: 6,
      }),
      fc.integer({ min: 0, max: 14 * 24 * 4 }),
      (specs, quarters) => {
        const dues = specs.map(({ median, tolerance }, i) => aDue(`task-${i}`, median, { tolerance }));
        const tasks = dues.map((due) => aTask(due.task, { parts: [{ ...filter, name: due.task }] }));
        const nowMs = at(0, '00:00') + quarters * 900_000;
        const first = decide({ dues, tasks }, nowMs);
        expect(decide({ dues, tasks }, nowMs, first.facts).messages).toEqual([]);
      },
    ),
    { numRuns: 60 },
  );
});

test('no person gets two messages on a day, and nobody any in quiet hours or on days off', () => {
  const people = [
    { id: 'ines', name: 'Inês' },
    { id: 'rui', name: 'Rui', kinds: ['parts', 'late'] as const },
  ];
  fc.assert(
    fc.property(
      fc.array(fc.record({ median: fc.integer({ min: -60, max: 60 }), tolerance: fc.integer({ min: 0, max: 40 }) }), {
        minLength: 1,
        maxLength: 5,
      }),
      fc.integer({ min: 0, max: 7 * 24 * 4 }),
      (specs, quarters) => {
        const dues = specs.map(({ median, tolerance }, i) => aDue(`task-${i}`, median, { tolerance }));
        const tasks = dues.map((due) => aTask(due.task, { parts: [{ ...filter, name: due.task }] }));
        const household = { people, daysOff: [{ from: inDays(9), to: inDays(12) }] };
        const said = live({ dues, tasks, household }, at(0, '00:00') + quarters * 900_000, 40);
        const days = said.map(({ atMs, message }) => `${message.to} ${day(atMs)}`);
        expect(new Set(days).size).toBe(days.length);
        for (const { atMs, message } of said) {
          const time = timeOfDayAt(atMs, zone);
          expect(time >= '07:00' && time < '21:30').toBe(true);
          expect(day(atMs) < inDays(9) || day(atMs) > inDays(12)).toBe(true);
          expect(message.notices.length).toBeGreaterThan(0);
          expect(message.notices.every((notice) => notice.to === message.to)).toBe(true);
          if (message.to === 'rui')
            expect(message.notices.every((n) => n.kind === 'parts' || n.kind === 'late')).toBe(true);
        }
      },
    ),
    { numRuns: 25 },
  );
});

test('the next look misses no message: looking every quarter of an hour says the same', () => {
  const scene = {
    dues: [aDue('oil', 20), aDue('belt', 24)],
    tasks: [aTask('oil', { parts: [filter] }), aTask('belt')],
  };
  const sparse = live(scene, at(0), 30).map((s) => s.atMs);
  let facts = someFacts();
  const dense: number[] = [];
  for (let nowMs = at(0); nowMs < at(30); nowMs += 900_000) {
    const decision = decide(scene, nowMs, facts);
    facts = decision.facts;
    if (decision.messages.length > 0) dense.push(nowMs);
  }
  expect(sparse).toEqual(dense);
});

test('work nobody reacts to is said again after two weeks at the earliest', () => {
  const said = live({ dues: [overdue] }, at(0), 30).filter((s) => kindsOf([s.message]).includes('work'));
  expect(said.map((s) => day(s.atMs))).toEqual([inDays(2), inDays(16)]);
});

test('beside work that is said again only the tasks that something is missing for are named as parts', () => {
  const tasks = [aTask('oil', { parts: [filter] }), aTask('belt')];
  const said = live({ dues: [aDue('oil', 0), aDue('belt', 0)], tasks }, at(0), 40).flatMap((s) => s.message.notices);
  const again = said.filter((n) => n.kind === 'parts').at(-1);
  expect(said.find((n) => n.kind === 'work')?.tasks).toEqual(['oil', 'belt']);
  expect(again?.tasks).toEqual(['oil']);
  expect(again?.because).toMatch(/never said to be in hand/);
});

test('parts that were never bought are named beside work that is said again', () => {
  const scene = { dues: [overdue], tasks: [aTask('oil', { parts: [filter] })] };
  const said = live(scene, at(0), 40).map((s) => kindsOf([s.message]));
  expect(said.slice(0, 3)).toEqual([['parts'], ['work'], ['work', 'parts']]);
});

test('late is said at growing gaps, and never without a call to work or a due long past', () => {
  const said = live({ dues: [aDue('oil', -2, { tolerance: 9 })] }, at(0), 140);
  expect(kindsOf(said.map((s) => s.message)).slice(0, 4)).toEqual(['work', 'late', 'late', 'late']);
  const gaps = said.slice(1).map((s, i) => Math.round((s.atMs - (said[i]?.atMs ?? 0)) / dayMs));
  expect(gaps.slice(0, 4)).toEqual([7, 14, 28, 56]);
});

test('what stays late for years is named every sixteen weeks in the end, as any call that nobody answers', () => {
  const sent = [-700, -693, -679, -651, -595, -483].map((days, i) =>
    sentNotice({
      id: `s${i}`,
      kind: i === 0 ? 'work' : 'late',
      atMs: at(days, '18:30'),
      proposedDay: inDays(days + 1),
    }),
  );
  const said = (last: number) => {
    const facts = { sent: [...sent, sentNotice({ id: 'last', kind: 'late', atMs: at(last, '18:30') })] };
    return kindsOf(decide({ dues: [aDue('oil', -720, { lastDay: inDays(-1100) })], facts }, at(2, '18:30')).messages);
  };
  expect(said(-110)).toEqual(['late']);
  expect(said(-109)).toEqual([]);
});

test('a machine whose due passed long ago is called late at once', () => {
  expect(kindsOf(decide({ dues: [aDue('oil', -90)] }, at(2, '18:30')).messages)).toEqual(['late']);
});

test('a second person is told of late work only after so many days', () => {
  const people = [
    { id: 'ines', name: 'Inês' },
    { id: 'rui', name: 'Rui', secondAfterDays: 10 },
  ];
  const said = live({ dues: [aDue('oil', -90)], household: { people } }, at(0), 40);
  expect(said.filter((s) => s.message.to === 'rui').map((s) => day(s.atMs))[0]).toBe(inDays(16));
  expect(said.filter((s) => s.message.to === 'rui').every((s) => kindsOf([s.message]).every((k) => k === 'late'))).toBe(
    true,
  );
});

test('where the first person cannot be reached, the second is told so many days after the first was written to', () => {
  const people = [
    { id: 'ines', name: 'Inês' },
    { id: 'rui', name: 'Rui', secondAfterDays: 10 },
  ];
  const unheard = (days: number) => sentNotice({ kind: 'late', visit: 'orchard-mower-oil-2', atMs: at(days) });
  const told = (days: number) =>
    decide(
      { dues: [aDue('oil', -90)], household: { people }, facts: { lateUnheard: [unheard(days), unheard(-1)] } },
      at(2, '18:30'),
    ).messages.map(({ to }) => to);
  expect(told(-7)).toEqual(['ines']);
  expect(told(-8)).toEqual(['ines', 'rui']);
});

test('"ask me on" keeps silence until that day, and is kept on its morning', () => {
  const answer = { kind: 'ask-on', tasks: ['oil'], day: inDays(10), atMs: at(-1) } as const;
  const due = aDue('oil', -3, { tolerance: 200, lastDay: inDays(-200) });
  const said = live({ dues: [due], facts: { answers: [answer] } }, at(0), 20);
  expect(said.map((s) => [day(s.atMs), timeOfDayAt(s.atMs, zone)])[0]).toEqual([inDays(10), '07:00']);
});

test.each([2, 5, 9])('"ask me on" in %i days is kept where the household works on any day', (days) => {
  const dues = ['oil', 'belt'].map((task) => aDue(task, 0, { tolerance: 0, lastDay: inDays(-200) }));
  const answers = [{ kind: 'ask-on', tasks: ['oil'], day: inDays(days), atMs: at(-1) } as const];
  const said = live({ dues, facts: { answers }, household: { workingDays: [] } }, at(0, '00:00'), 16);
  const oil = said.find(({ message }) => message.notices.some(({ tasks }) => tasks.includes('oil')));
  expect([day(oil?.atMs ?? 0), timeOfDayAt(oil?.atMs ?? 0, zone)]).toEqual([inDays(days), '07:00']);
});

test('a machine at rest makes no noise', () => {
  const resting = { from: inDays(-30), until: inDays(20) };
  const said = live({ dues: [overdue], machine: { resting } }, at(0), 30);
  expect(said.every((s) => day(s.atMs) > inDays(20))).toBe(true);
  expect(said.length).toBeGreaterThan(0);
});

test('season work is called for like any other work', () => {
  expect(
    kindsOf(decide({ dues: [aDue('oil', -1, { limit: 'season', tolerance: 200 })] }, at(2, '18:30')).messages),
  ).toEqual(['work']);
});

test('getting to know a machine is said two evenings before, and never becomes late', () => {
  const due = aDue('oil', 0, { unknownLast: true, cycle: 0 });
  const said = live({ dues: [due] }, at(0), 90);
  expect([day(said[0]?.atMs ?? 0), said[0]?.message.notices[0]?.proposedDay]).toEqual([inDays(1), inDays(3)]);
  expect(said.flatMap((s) => kindsOf([s.message])).every((kind) => kind === 'work')).toBe(true);
});

test('a dealer is to be booked two weeks ahead', () => {
  const scene = { dues: [aDue('oil', 40)], tasks: [aTask('oil', { by: 'dealer' as const })] };
  const [first] = live(scene, at(0), 60);
  const proposed = first?.message.notices[0]?.proposedDay ?? inDays(0);
  expect(day((first?.atMs ?? 0) + 14 * dayMs)).toBe(proposed);
});

test('the dealer’s part of getting to know a machine is said three weeks ahead, once the own look had its day', () => {
  const unknown = (task: string) => aDue(task, 0, { unknownLast: true, cycle: 0 });
  const tasks = [aTask('oil'), aTask('valves', { by: 'dealer' as const })];
  const said = live({ dues: [unknown('oil'), unknown('valves')], tasks }, at(0), 60).flatMap(({ atMs, message }) =>
    message.notices.map((notice) => ({ on: day(atMs), notice })),
  );
  const first = said.find(({ notice }) => notice.tasks.includes('valves'));
  expect(said[0]?.notice.tasks).toEqual(['oil']);
  expect(first?.on).toBe(inDays(3));
  expect(first?.notice.proposedDay).toBe(inDays(24));
});

test('what waits is named with the day and the reason', () => {
  const { waiting } = decide({ dues: [aDue('oil', 60)], tasks: [aTask('oil', { parts: [filter] })] }, at(0));
  expect(waiting).toHaveLength(1);
  expect(waiting[0]).toMatchObject({ kind: 'parts', visit: 'orchard-mower-oil-2' });
  expect(waiting[0]?.day && waiting[0].day > inDays(0)).toBe(true);
});
