import { describe, expect, test } from 'vitest';
import { due, today, tractor } from '../../tests/stage/letter-scene.js';
import type { Task } from '../domain/task.js';
import { sayDue, sayLimit, saySeason } from './due.js';

const [oil] = tractor.tasks;
if (oil === undefined) throw new Error('the scene has no task');
const limit = (more: Partial<Task>, kind: typeof due.limit = 'hours') => {
  const { every: _every, ...bare } = oil;
  return sayLimit({ limit: kind }, { ...bare, ...more }, { units: 'metric', locale: 'en-GB' });
};

describe('how often', () => {
  test.each([
    [{ every: { hours: 150, months: 18 } }, 'every 150 h or 18 months'],
    [{ every: { months: 12 } }, 'every year'],
    [{ every: { months: 24 } }, 'every 2 years'],
    [{ every: 'use' }, 'before each use'],
    [{ season: { before: 'first-frost', days: 21 } }, 'every year, 21 days before the first frost'],
    [{ season: { before: '10-15', days: 0 } }, 'every year, by 15 October'],
    [{ when: 'noticed' }, 'when something is noticed'],
    [{}, 'when another job brings it'],
    [{ first: { hours: 30 } }, 'once, after 30 h'],
  ] as const)('%j is told as %j', (task, said) => {
    expect(limit(task)).toBe(said);
  });

  test('the first time is told while it is still ahead', () => {
    const breakIn = { first: { hours: 30 }, every: { hours: 150 } };
    expect(limit(breakIn, 'break-in')).toBe('first after 30 h, then every 150 h');
    expect(limit(breakIn, 'hours')).toBe('every 150 h');
  });

  test('one day before a frost is one day', () => {
    expect(saySeason({ before: 'last-frost', days: 1 }, { units: 'metric', locale: 'en-GB' })).toBe(
      '1 day before the last frost',
    );
  });

  // 0 °C is 32 °F by definition; -5 °C is 23 °F (NIST SP 811 (2008), App. B.8: t/°F = 1.8 t/°C + 32).
  test.each([
    [0, '32 °F (0 °C)'],
    [-5, '23 °F (−5 °C)'],
    [-2, '28 °F (−2 °C)'],
  ])('a night at %d °C is told in °F where the household uses US units', (nightsBelow, said) => {
    const rule = { before: 'first-frost', days: 21, nightsBelow } as const;
    expect(saySeason(rule, { units: 'us', locale: 'en-GB' })).toBe(
      `21 days before the first frost, or with the first night at ${said}`,
    );
    expect(saySeason(rule, { units: 'metric', locale: 'en-GB' })).toMatch(
      new RegExp(`at ${String(nightsBelow).replace('-', '−')} °C$`),
    );
  });
});

describe('when a task comes due', () => {
  test('a target counted from hours that nobody read is about', () => {
    const counted = { ...due, countedFrom: { atMs: 0, hours: 250 } };
    expect(sayDue(counted, tractor, today, 'en-GB')).toContain('; the hours come first, at about 400 h.');
  });

  test('is one sentence with its doubt and the limit that comes first', () => {
    expect(sayDue(due, tractor, today, 'en-GB')).toBe(
      'Change engine oil and filter on the hill tractor: it reaches its limit between 27 March and 24 April, most likely about 8 April; the hours come first, at 400 h.',
    );
  });

  test.each([
    [{ limit: 'use' }, 'before each use'],
    [{ unknownLast: true }, 'nobody knows when it was last done'],
    [{ day: null }, 'no date yet'],
    [{ day: null, targetHours: null }, 'no date within ten years'],
    [{ day: null, limit: 'noticed' }, 'only when something is noticed'],
  ] as const)('%j says why there is no day', (more, said) => {
    expect(sayDue({ ...due, ...more }, tractor, today, 'en-GB')).toContain(said);
  });
});
