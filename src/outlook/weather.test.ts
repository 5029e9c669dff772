import { expect, test } from 'vitest';
import { aHousehold, aMachine, aTask, at, inDays, someFacts } from '../../tests/stage/visit-scene.js';
import { addDays, type Day } from '../domain/day.js';
import type { Night } from '../domain/night.js';
import { lookAhead } from './look.js';

const rule = { before: 'first-frost', days: 14 } as const;
const winter = aTask('winter', { season: rule, fluids: [oilFor()] });
const known = { last: { winter: { kind: 'done', hours: 100, day: inDays(-300) } } } as const;

function oilFor() {
  const choices = [
    { grade: '10W-30', coldest: '-15 C' },
    { grade: '5W-30', coldest: '-25 C' },
  ];
  return { name: 'engine oil', quantity: '1 L', choices };
}

/** Two years of nights until today, each winter with one frost on a given day of November. */
function nights(dayOfNovember: string, celsius: number): readonly Night[] {
  const cold = (day: Day) => day.slice(5) === `11-${dayOfNovember}`;
  return Array.from({ length: 1100 }, (_, i) => addDays(inDays(0), i - 1099)).map((day) => ({
    day,
    celsius: cold(day) ? celsius : 9,
  }));
}

function look(seen: readonly Night[] | null) {
  const home = { household: aHousehold(), machines: [aMachine([winter], known)] };
  const facts = { version: 1, machines: [someFacts({})], householdSent: [] };
  return lookAhead(home, seen === null ? facts : { ...facts, nights: seen }, at(0));
}

test('frost that the thermometer saw late moves the work before winter later', () => {
  const before = look(null).machines[0]?.dues[0]?.calendarDay;
  const after = look(nights('28', -5)).machines[0]?.dues[0]?.calendarDay;
  if (before === undefined || before === null || after === undefined || after === null) throw new Error('no day');
  expect(after.slice(5) > before.slice(5)).toBe(true);
});

test('the coldest night that it saw chooses the grade of oil', () => {
  const gradeOf = (seen: readonly Night[]) => look(seen).visits[0]?.shopping[0]?.specification;
  expect(gradeOf(nights('28', -5))).toBe('10W-30');
  expect(gradeOf(nights('28', -19))).toBe('5W-30');
});
