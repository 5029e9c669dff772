import { addDays, daysBetween, parseDay } from '../../src/domain/day.js';
import type { Home } from '../../src/domain/home.js';
import type { Household } from '../../src/domain/household.js';
import type { Machine } from '../../src/domain/machine.js';
import type { Task } from '../../src/domain/task.js';
import { defaultHabits, type PersonHabits } from '../../src/rehearsal/person/habits.js';
import { rehearse } from '../../src/rehearsal/rehearse.js';
import type { RehearsalReport } from '../../src/rehearsal/report.js';
import type { UsageDay } from '../../src/rehearsal/truth/true-hours.js';
import { someHousehold, someMachine, someTask } from './small-machine.js';

/** Somebody who always answers, buys and works, so that every day of a rehearsal can be told beforehand. */
export const steady: PersonHabits = {
  ...defaultHabits,
  answersReading: 1,
  delayDays: [1, 1],
  doesWork: 1,
  buysParts: 1,
};

export const someOil: Task = someTask('oil', {
  title: 'Change the oil',
  every: { hours: 50 },
  parts: [{ name: 'oil filter', quantity: 1, leadDays: 6 }],
});

/** The same hours on every day from one day to another, both included. */
export function usedEvenly(from: string, to: string, hours: number): UsageDay[] {
  const first = parseDay(from);
  return Array.from({ length: daysBetween(first, parseDay(to)) + 1 }, (_, i) => ({ day: addDays(first, i), hours }));
}

/** One machine with a meter at 100 h that is expected to run 365.25 h a year, in a household of one. */
export function homeOfOne(
  tasks: readonly Task[] = [someOil],
  machine: Partial<Machine> = {},
  household: Partial<Household> = {},
): Home {
  const meter = {
    kind: 'meter',
    counts: 'clock',
    first: { hours: 100, atMs: Date.UTC(2031, 0, 1), about: false },
    changes: [],
  } as const;
  return {
    household: someHousehold(household),
    machines: [someMachine(tasks, { meter, expect: { hoursPerYear: 365.25, season: 'even' }, ...machine })],
  };
}

/** A rehearsal of half a year or less; every part can be replaced. */
export function rehearseSome(over: Partial<Parameters<typeof rehearse>[0]> = {}): Promise<RehearsalReport> {
  return rehearse({
    home: homeOfOne(),
    usage: new Map([['orchard-mower', usedEvenly('2031-03-01', '2031-06-30', 1)]]),
    from: parseDay('2031-03-01'),
    to: parseDay('2031-06-30'),
    habits: steady,
    feedShare: null,
    tasks: null,
    policy: 'ours',
    stopping: new AbortController().signal,
    ...over,
  });
}
