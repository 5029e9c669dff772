import { describe, expect, test } from 'vitest';
import { today, tractor, visit } from '../../tests/stage/letter-scene.js';
import { parseDay } from '../domain/day.js';
import { sayMachineBriefly } from './machine-status.js';

const hoursNow = { p10: 379, p50: 386, p90: 394 };
const due = (task: string, p10: string, p50: string, p90: string, unknownLast = false) => ({
  task,
  day: { p10: parseDay(p10), p50: parseDay(p50), p90: parseDay(p90) },
  unknownLast,
});
const oil = due('engine-oil', '2031-03-27', '2031-04-08', '2031-04-24');
const say = (dues: readonly ReturnType<typeof due>[], visits = [visit]) =>
  sayMachineBriefly({ machine: tractor.id, hoursNow, dues }, tractor, visits, today, 'en-GB');

describe('a machine at a glance', () => {
  test('is its hours, the next visit with its day and id, and what comes due', () => {
    expect(say([oil])).toEqual([
      'Hill tractor: about 386 h (379 to 394)',
      `  next visit tomorrow, Saturday 22 March: Change engine oil and filter, and two more (${visit.id})`,
      '  due: Change engine oil and filter, between 27 March and 24 April',
    ]);
  });

  test('names three tasks at most, and says since when one is past', () => {
    const past = due('loader-pins', '2031-03-01', '2031-03-05', '2031-03-09');
    const fixed = due('fixed', '2031-03-02', '2031-03-02', '2031-03-02');
    expect(say([past, fixed, oil, due('fourth', '2032-01-01', '2032-01-01', '2032-01-01')])[2]).toBe(
      '  due: Grease the loader pins, since about 5 March; fixed, since 2 March; Change engine oil and filter, between 27 March and 24 April',
    );
  });

  test('leaves out what has no day and what nobody knows, and says what is not there', () => {
    const unknown = due('engine-oil', '2031-03-21', '2031-03-21', '2031-03-21', true);
    const nothing = sayMachineBriefly(
      { machine: tractor.id, hoursNow: null, dues: [unknown, { ...oil, day: null }] },
      tractor,
      [{ ...visit, machine: 'another' }],
      today,
      'en-GB',
    );
    expect(nothing).toEqual(['Hill tractor: hours not known yet', '  no visit ahead']);
  });
});
