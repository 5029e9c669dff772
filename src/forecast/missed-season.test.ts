import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { aDay, atDay, someFacts, someHousehold, someMachine, someTask } from '../../tests/stage/small-machine.js';
import { addDays, type Day } from '../domain/day.js';
import type { Machine } from '../domain/machine.js';
import type { Due } from '../domain/results/due.js';
import { forecastDues } from './due.js';

const layUp = someTask('lay-up', { season: { before: 'first-frost', days: 12 } });
const wayBack = someTask('way-back', { season: { before: 'last-frost', days: 21 } });
const unknown = { 'lay-up': { kind: 'unknown' }, 'way-back': { kind: 'unknown' } } as const;

function look(
  today: Day,
  over: Partial<Machine> = {},
): { readonly layUp: Due | undefined; readonly wayBack: Due | undefined } {
  const machine = { ...someMachine([layUp, wayBack]), since: aDay('2029-01-10'), ...over };
  const dues = forecastDues(machine, someFacts([]), null, someHousehold(frost), atDay(today));
  const of = (task: string) => dues.find((due) => due.task === task);
  return { layUp: of('lay-up'), wayBack: of('way-back') };
}
const frost = { frost: { first: '11-05', last: '04-20' } } as const;
const isDue = (due: Due | undefined, today: Day) => due?.day !== null && due?.day !== undefined && due.day.p50 <= today;

describe('laying up and its way back', () => {
  test('are never due on the same day, whatever was missed and whatever nobody knows', () => {
    const days = fc.integer({ min: 0, max: 1500 }).map((offset) => addDays(aDay('2030-01-01'), offset));
    fc.assert(
      fc.property(days, fc.boolean(), (today, isUnknown) => {
        const dues = look(today, isUnknown ? { last: unknown } : {});
        expect(isDue(dues.layUp, today) && isDue(dues.wayBack, today)).toBe(false);
      }),
    );
  });

  test('missed, count until half of the way to the other frost, then next year', () => {
    expect(look(aDay('2031-01-20')).layUp?.calendarDay).toBe('2030-10-24');
    expect(look(aDay('2031-02-10')).layUp?.calendarDay).toBe('2031-10-24');
    expect(look(aDay('2031-07-10')).wayBack?.calendarDay).toBe('2031-03-30');
    expect(look(aDay('2031-08-10')).wayBack?.calendarDay).toBe('2032-03-30');
  });

  test('of unknown past belong to getting to know the machine only in their own season', () => {
    const inNovember = look(aDay('2031-11-20'), { last: unknown });
    expect(inNovember.layUp?.unknownLast).toBe(true);
    expect(inNovember.wayBack).toMatchObject({ unknownLast: false, calendarDay: '2032-03-30' });
    const inJuly = look(aDay('2031-09-01'), { last: unknown });
    expect([inJuly.layUp?.unknownLast, inJuly.wayBack?.unknownLast]).toEqual([false, false]);
  });
});
