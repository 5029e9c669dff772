import { expect, test } from 'vitest';
import { parseDay } from '../../domain/day.js';
import type { RehearsalReport } from '../report.js';
import { figuresOf } from './service-figures.js';

const from = parseDay('2031-01-01');
const to = parseDay('2035-01-01');

const service = (overHours: number, partsNoticeLeadDays: number | null) => ({
  machine: 'mower',
  task: 'oil',
  limit: 'hours' as const,
  trueDue: from,
  doneOn: from,
  intervalHours: 50,
  toleranceHours: 5,
  overHours,
  partsNoticeLeadDays,
  pulledForward: false,
});
const report = (over: Partial<RehearsalReport>): RehearsalReport => ({
  notices: [],
  services: [],
  readings: 0,
  questions: 0,
  wastedTrips: 0,
  messages: 0,
  machines: {},
  ...over,
});

test('several rehearsals are summed: on time, waste, trouble a machine-year, messages a service, parts in hand', () => {
  const figures = figuresOf(
    [
      report({ services: [service(-10, 12), service(4.9, 3)], questions: 5, wastedTrips: 1, messages: 9 }),
      report({ services: [service(5.1, null), service(-5, 7)], questions: 2, messages: 3 }),
    ],
    from,
    to,
    7,
  );
  expect(figures).toMatchObject({ services: 4, onTime: 0.75, messages: 3, partsInHand: 0.5 });
  expect(figures.wasted).toBeCloseTo((10 + 5) / 50 / 4, 12);
  expect(figures.troubles).toBeCloseTo(1, 2);
});

test('figures of nothing are refused', () => {
  expect(() => figuresOf([report({})], from, to, 7)).toThrow(RangeError);
});
