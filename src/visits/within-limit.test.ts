import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import type { Household } from '../domain/household.js';
import type { Machine } from '../domain/machine.js';
import type { Due, DueCurve } from '../domain/results/due.js';
import type { Task } from '../domain/task.js';
import { planVisits } from './plan-visits.js';
import { keepWithinLimit } from './within-limit.js';

/** Certain days, as a limit in months gives them. */
function onDay(task: string, day: number, over: Partial<Due> = {}): Due {
  const step = (shift: number): DueCurve => ({
    from: inDays(-400),
    offsets: [400 + day - 1 + shift, 400 + day + shift],
    p: [0, 1],
  });
  const limit = inDays(day);
  return aDue(task, day, {
    day: { p10: limit, p50: limit, p90: limit },
    curve: step(0),
    lateCurve: step(30),
    calendarDay: limit,
    ...over,
  });
}

function plan(
  dues: readonly Due[],
  more: { tasks?: readonly Task[]; household?: Partial<Household>; machine?: Partial<Machine> } = {},
) {
  const tasks = dues.map(({ task }) => more.tasks?.find(({ id }) => id === task) ?? aTask(task));
  return planVisits(aMachine(tasks, more.machine), someFacts(), dues, aHousehold(more.household), at(0));
}

const filter = (leadDays: number) => aTask('oil', { parts: [{ name: 'filter', quantity: 1, leadDays }] });

test('a calendar limit is kept, also where company would pay for passing it', () => {
  // The Wednesday is day 0; Saturdays are 3, 10, 17...
  for (let apart = 1; apart <= 40; apart++) {
    const visits = plan([onDay('oil', 62), onDay('belt', 62 + apart, { intervalDays: 60 })]);
    for (const visit of visits) {
      const first = visit.tasks.includes('oil') ? 62 : 62 + apart;
      expect(visit.day <= inDays(first), `${apart} days apart`).toBe(true);
    }
  }
});

test('where no day before the limit is left it is the next working day, and says so', () => {
  const [visit] = plan([onDay('oil', 2)]);
  expect(visit).toMatchObject({ day: inDays(3), cause: { kind: 'next-chance' } });
});

test('a limit within the household’s days off is met by the last working day before them', () => {
  const daysOff = [{ from: inDays(36), to: inDays(64) }];
  const [visit] = plan([onDay('oil', 55)], { household: { daysOff } });
  expect(visit).toMatchObject({ day: inDays(32), cause: { kind: 'last-chance' } });
});

test('what takes longer to get than the limit is away says how long it takes', () => {
  const [visit] = plan([onDay('oil', 5)], { tasks: [filter(10)] });
  expect(visit).toMatchObject({ day: inDays(11), cause: { kind: 'parts', leadDays: 10 } });
});

test('a limit that falls into a rest is met after it, and says so', () => {
  const resting = { from: inDays(40), until: inDays(90) };
  const [visit] = plan([onDay('oil', 60)], { machine: { resting } });
  expect(visit?.day).toBe(inDays(94));
  expect(visit?.cause).toEqual({ kind: 'rest' });
});

test('without a calendar limit, and where a whole interval would be wasted, the costs stay as they are', () => {
  const days = [3, 10, 17];
  expect(keepWithinLimit([0.2, 0, 0.1], { calendarDay: null }, days)).toEqual([0.2, 0, 0.1]);
  expect(keepWithinLimit([0.2, 0.1, 0], { calendarDay: inDays(-30) }, days)).toEqual([0.2, 0.1, 0]);
});
