import { expect, test } from 'vitest';
import { aDue, aHousehold, aMachine, aTask, at, inDays, someFacts, wednesday } from '../../tests/stage/visit-scene.js';
import type { Day } from '../domain/day.js';
import type { Spread } from '../domain/results/due.js';
import type { ShoppingItem } from '../domain/results/visit.js';
import { causeOfDay } from './day-cause.js';
import type { Scene } from './scene.js';

const task = aTask('oil');
const due = aDue('oil', 40);
const days = Array.from({ length: 60 }, (_, i) => 3 + 7 * i);
const base = Math.round(Date.parse(wednesday) / 86_400_000);
const scene: Scene = {
  machine: aMachine([task]),
  facts: someFacts(),
  dues: [due],
  household: aHousehold(),
  nowMs: at(0),
  today: base,
  foresight: null,
  days: days.map((day) => base + day),
  rest: null,
  stored: [],
  fixed: new Map(),
  open: [],
  morning: false,
  orderDay: base,
  taken: new Set(),
};

function cause(
  day: number,
  spread: readonly [number, number, number],
  over: Partial<Scene> = {},
  shopping: readonly ShoppingItem[] = [],
  asked: Day | null = null,
) {
  const [p10, p50, p90] = spread.map(inDays);
  const likely: Spread<Day> = { p10: p10 ?? wednesday, p50: p50 ?? wednesday, p90: p90 ?? wednesday };
  const candidate = { task, due, costs: [], best: days.indexOf(day) };
  return causeOfDay({ ...scene, ...over }, [candidate], shopping, base + day, likely, asked).kind;
}

const filter: ShoppingItem = {
  kind: 'part',
  name: 'oil filter',
  quantity: 1,
  unit: 'pcs',
  specification: null,
  inStock: 0,
  toBuy: 1,
  leadDays: 8,
  tasks: ['oil'],
};

test('a day after the likeliest one says why, also where the limit may come later still', () => {
  expect(cause(45, [25, 40, 60])).toBe('tolerated');
  expect(cause(38, [25, 40, 60])).toBe('on-time');
  expect(cause(3, [-4, 1, 9])).toBe('next-chance');
  expect(cause(101, [30, 40, 50], { stored: [{ from: base + 32, until: base + 100 }] })).toBe('stored');
});

test('what is missing is the reason only until it is here: after that the machine waits in storage', () => {
  expect(cause(10, [-40, -30, -20], {}, [filter])).toBe('parts');
  const stored = [{ from: base + 9, until: base + 100 }];
  expect(cause(101, [-40, -30, -20], { stored }, [filter])).toBe('stored');
});

test('a day months before the likeliest one says why, however early the limit may come', () => {
  expect(cause(10, [12, 200, 400])).toBe('wide');
  expect(cause(10, [30, 60, 400])).toBe('unsure');
  expect(cause(10, [12, 60, 400])).toBe('on-time');
});

test('what was asked for on a day on which the machine is away waits for its return, not for the one who asked', () => {
  const asked = inDays(40);
  const stored = [{ from: base + 32, until: base + 100 }];
  expect(cause(45, [-20, -10, -5], {}, [], asked)).toBe('asked');
  expect(cause(101, [-20, -10, -5], { stored }, [], asked)).toBe('stored');
  expect(cause(101, [-20, -10, -5], { rest: { from: base + 32, until: base + 100 } }, [], asked)).toBe('rest');
  expect(cause(108, [-20, -10, -5], { stored }, [], inDays(104))).toBe('asked');
});
